"""Other layouts of the same room that differ in kind, each with its numbers and its drawing. Changes nothing."""


def choices_page(room, draft, layout, *, drawn=True):
    return ()
