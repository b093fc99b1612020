"""A job's packets and warranties over the API: made as long work, read as files."""

from django.http import FileResponse, Http404
from django.urls import path, reverse
from django.utils.text import slugify
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.response import Response

from projects.files import store
from projects.jobs.queries import job_of
from projects.platform.api.bodies import Body
from projects.platform.api.lists import Listing
from projects.platform.api.problems import CannotBeDone
from projects.platform.api.views import ApiView, Record, RecordView
from reports import queries as documents
from reports.close_out import forms, queries, services
from reports.close_out.models import Packet, Warranty
from reports.close_out.work import cannot_be_made
from reports.papers_api import IssuedView, Pdf

PACKET = Body("PacketBody", forms.PacketForm)
WARRANTY = Body("WarrantyBody", forms.WarrantyForm)


class PacketOut(Record):
    """up_to_date: every room's revision is still the one it was made from."""

    made_by = serializers.CharField(source="made_by.user.name", allow_null=True, default=None, read_only=True)
    up_to_date = serializers.SerializerMethodField()
    file = serializers.SerializerMethodField()

    class Meta:
        model = Packet
        fields = ("id", "what", "paper", "pages", "bytes", "made_by", "made_at", "up_to_date", "file")
        read_only_fields = fields

    def get_up_to_date(self, packet) -> bool:
        return packet.stands_on == self.context["now"]

    def get_file(self, packet) -> str:
        return reverse("api:packet_file", args=[packet.job_id, packet.pk])


class WorkAskedOut(serializers.Serializer):
    work = serializers.IntegerField(help_text="Its id under /work/; the packet is listed once it is made")


class MissingFactsOut(serializers.Serializer):
    type_name = serializers.CharField()
    missing = serializers.ListField(child=serializers.CharField())
    rooms = serializers.ListField(child=serializers.CharField())


class WarrantyOut(Record):
    ends_on = serializers.DateField(read_only=True)
    said_by = serializers.CharField(source="said_by.user.name", allow_null=True, default=None, read_only=True)

    class Meta:
        model = Warranty
        fields = ("id", "job", "what", "starts_on", "months", "ends_on", "said_by", "version")
        read_only_fields = fields


class Packets(IssuedView):
    @extend_schema(operation_id="packets", responses=PacketOut(many=True))
    def get(self, request, job_id):
        """The packets that were made of a job."""
        job = job_of(request.shop, job_id)
        now = services.digest_of(documents.laid_rooms(job))
        return Response(PacketOut(queries.packets_of(job), many=True, context={"now": now}).data)

    @extend_schema(
        operation_id="make_packet",
        request=PACKET.schema(defaults=("what", "paper")),
        responses={202: OpenApiResponse(WorkAskedOut)},
    )
    def post(self, request, job_id):
        """Make a packet as long work; what waits or runs already is given back."""
        job = job_of(request.shop, job_id)
        start = {name: field.initial for name, field in forms.PacketForm.base_fields.items()}
        said = PACKET.fill(request.data, start=start).cleaned_data
        if refused := cannot_be_made(documents.laid_rooms(job)):
            raise CannotBeDone(refused)
        work = services.ask_for(job, said["what"], said["paper"], request.member)
        where = reverse("api:work", args=[work.pk])
        return Response({"work": work.pk}, status=202, headers={"Location": where})


class PacketFile(IssuedView):
    renderer_classes = [Pdf]

    @extend_schema(operation_id="packet_file", responses={(200, "application/pdf"): OpenApiTypes.BINARY})
    def get(self, request, job_id, packet_id):
        """The packet itself."""
        packet = queries.packet_of(request.shop, job_id, packet_id)
        try:
            content = store.path_of(packet.shop_id, packet.file).open("rb")
        except FileNotFoundError as gone:
            raise Http404 from gone
        name = f"{slugify(f'{packet.job.number} {packet.what}')}.pdf"
        return FileResponse(content, filename=name, content_type=Pdf.media_type)


class MissingFacts(ApiView):
    listing = Listing()

    @extend_schema(operation_id="packet_missing_facts", responses=MissingFactsOut(many=True))
    def get(self, request, job_id):
        """Fixture types of the job whose labels nobody read yet, and the rooms they are in."""
        found = queries.models_of(documents.laid_rooms(job_of(request.shop, job_id)))
        rows = [
            {"type_name": facts.record.name, "missing": [str(each) for each in facts.missing], "rooms": rooms}
            for facts, rooms in found
            if facts.missing
        ]
        return self.paged(rows, MissingFactsOut)


class Warranties(ApiView):
    listing = Listing(Warranty, search=("what",))

    @extend_schema(operation_id="warranties", responses=WarrantyOut(many=True))
    def get(self, request, job_id):
        """What is warranted on a job, and until when."""
        found = Warranty.objects.of(request.shop).filter(job=job_of(request.shop, job_id))
        return self.paged(found.select_related("said_by__user"), WarrantyOut)

    @extend_schema(operation_id="warrant", request=WARRANTY.schema(), responses={201: WarrantyOut})
    def post(self, request, job_id):
        """Enter a warranty: the next close-out packet tells it."""
        job = job_of(request.shop, job_id)
        made = services.warrant(job, request.member, **WARRANTY.fill(request.data).cleaned_data)
        where = reverse("api:warranties", args=[job.pk])
        return Response(WarrantyOut(made).data, status=201, headers={"Location": where})


class WarrantyView(RecordView):
    pagination_class = None
    out = WarrantyOut

    @extend_schema(operation_id="warranty", responses=WarrantyOut)
    def get(self, request, warranty_id):
        """One warranty."""
        return self.answer(queries.warranty_of(request.shop, warranty_id))

    @extend_schema(operation_id="take_back_warranty", responses={204: None})
    def delete(self, request, warranty_id):
        """Take a warranty back. Packets made before still tell it."""
        found = queries.warranty_of(request.shop, warranty_id)
        return self.remove(found, lambda seen: services.take_back_warranty(found))


JOB = "jobs/<int:job_id>/"

urlpatterns = [
    path(JOB + "packets/", Packets.as_view(), name="packets"),
    path(JOB + "packets/<int:packet_id>/file/", PacketFile.as_view(), name="packet_file"),
    path(JOB + "packets/missing/", MissingFacts.as_view(), name="packet_missing_facts"),
    path(JOB + "warranties/", Warranties.as_view(), name="warranties"),
    path("warranties/<int:warranty_id>/", WarrantyView.as_view(), name="warranty"),
]
