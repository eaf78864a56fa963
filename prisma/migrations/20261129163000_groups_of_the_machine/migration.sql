-- A section is the judging sheet's; the machine has groups.
ALTER TABLE "Operation" RENAME COLUMN "section" TO "group";
ALTER TABLE "Part" RENAME COLUMN "section" TO "group";

-- What was changed before can still be read and taken back: the rows of a change name fields. Only these two tables have one of that name.
UPDATE "Change" SET "rows" = replace("rows", '"section":', '"group":');
