"""Teaching: picture scripts, labels and pages. It may see the truth; the drawing room only gets Marks."""
