"""Papers: what an installer, an inspector and an auditor hold in their hands.

:mod:`~subspark.papers.attachment` makes the dossier of a circuit, with the data inside that it was
worked out from; :mod:`~subspark.papers.reproduce` works it out again. Lists of a plant are in
:mod:`~subspark.papers.plant_papers` and :mod:`~subspark.papers.workbook`, inspection sheets in
:mod:`~subspark.papers.inspection`, and :mod:`~subspark.papers.writing` puts all of them into a
folder. Nothing is judged here: verdicts are those of :mod:`subspark.assess`. The libraries that
print are imported where they are used.
"""
