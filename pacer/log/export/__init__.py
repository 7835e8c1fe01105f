"""The day records to be taken along: as tables, as text, as whole files."""
