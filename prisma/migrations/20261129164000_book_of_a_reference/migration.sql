-- A source is who makes a part; a reference number stands in a book.
ALTER TABLE "PartReference" RENAME COLUMN "source" TO "book";

-- What was changed before can still be read and taken back: the rows of a change name their fields.
UPDATE "Change" SET "rows" = replace("rows", '"source":', '"book":');
