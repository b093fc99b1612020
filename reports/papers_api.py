"""Papers over the API: what is asked of one (paper, language), and how it is answered. Knows no particular paper."""

from django.http import HttpResponse
from django.utils.translation import get_language
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.response import Response

from layout.services import NotAsIssued
from projects.platform.api.problems import CannotBeDone, Refused, Unavailable
from projects.platform.api.views import ApiView
from projects.platform.languages import PAPER as LANGUAGES
from projects.platform.languages import printed_in
from reports.documents.head import PAPERS
from reports.documents.pdf import CannotPrint


class Pdf(BaseRenderer):
    """Named for Accept and ?format; a view that is asked for it answers with the bytes itself."""

    media_type, format, charset, render_style = "application/pdf", "pdf", None, "binary"


class Png(Pdf):
    media_type, format = "image/png", "png"


class Svg(Pdf):
    media_type, format = "image/svg+xml", "svg"


PAPER = OpenApiParameter("paper", str, enum=list(PAPERS), description="For the PDF; letter unless given")
LANGUAGE = OpenApiParameter("language", str, enum=[key for key, _words in LANGUAGES], description="Of its words")


def described(operation, out=None, *, more=(), media=Pdf.media_type, **other):
    """For a GET that gives a document: as values (`out`) and as a file, or as a file alone."""
    answers = {(200, media): OpenApiTypes.BINARY} | ({(200, "application/json"): out} if out else {})
    return extend_schema(operation_id=operation, parameters=[PAPER, *more], responses=answers, **other)


def pdf_answer(content):
    return HttpResponse(content, content_type=Pdf.media_type)


class IssuedView(ApiView):
    """What is made from a revision; one that no longer comes out as issued is refused, not guessed."""

    pagination_class = None

    def handle_exception(self, exc):
        if isinstance(exc, CannotPrint):
            exc = Unavailable(str(exc))
        return super().handle_exception(CannotBeDone(str(exc)) if isinstance(exc, NotAsIssued) else exc)

    def asked_one(self, name, known, otherwise):
        """What the address asks for by `name`, one of `known`. Raises Refused."""
        given = self.request.query_params.get(name, otherwise)
        if given not in known:
            raise Refused([{"parameter": name, "detail": f"One of: {', '.join(known)}.", "code": "invalid"}])
        return given


class Document(IssuedView):
    renderer_classes = [JSONRenderer, Pdf]
    questions: tuple[str, ...] = ("paper",)

    def paper(self):
        """The sheet that is asked for. Raises Refused."""
        self.refuse_unknown_questions(self.request.query_params)
        return PAPERS[self.asked_one("paper", PAPERS, "letter")]

    def answer(self, paper_of, values):
        """The PDF when that is asked for, else the values. paper_of(): a papers.Document."""
        paper = self.paper()
        if self.request.accepted_renderer.format != Pdf.format:
            return Response(values())
        return pdf_answer(paper_of().pdf(paper))


class PaperAlone(Document):
    """A paper that is given as PDF and in no other form."""

    renderer_classes = [Pdf]
    questions: tuple[str, ...] = ("paper", "language")

    def printed(self, make):
        """make(): a papers.Document, called in the language that is asked for."""
        paper = self.paper()
        asked = "language" in self.request.query_params
        with printed_in(self.asked_one("language", dict(LANGUAGES), "") if asked else get_language()):
            return pdf_answer(make().pdf(paper))
