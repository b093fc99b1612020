"""Reads a PDF from standard input and writes its pages anew to standard output. Run by projects.files.pdfs alone, as a
process of its own with little memory and time: what a stranger's file does to its reader ends here.

Only pages go on: the document's own scripts, attachments, forms and actions stay behind. Exit codes: 3 not a PDF that
can be read, 4 locked with a password, 5 too many pages. Prints the page count to standard error.
"""

import io
import resource
import sys

import pypdfium2

MEMORY = 1_000_000_000  # bytes
SECONDS = 20


def main(most_pages):
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    try:
        found = pypdfium2.PdfDocument(sys.stdin.buffer.read())
    except pypdfium2.PdfiumError as unread:
        return 4 if "password" in str(unread).lower() else 3
    if not 0 < len(found) <= most_pages:
        return 5 if len(found) else 3
    new = pypdfium2.PdfDocument.new()
    try:
        new.import_pages(found)
    except pypdfium2.PdfiumError:
        return 3
    for number in range(len(new)):
        new[number].get_size()
    written = io.BytesIO()
    new.save(written)
    sys.stdout.buffer.write(written.getvalue())
    sys.stderr.write(str(len(new)))
    return 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1])))
