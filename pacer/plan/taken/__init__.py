"""What a teacher has already, as text for the typed reader: files of other programs and what is pasted."""
