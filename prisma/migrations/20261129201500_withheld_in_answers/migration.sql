-- Answers and changes of before said "hidden" of what is withheld.
UPDATE "ClubComplaint" SET "answer" = 'Withheld: ' || substr("answer", 9) WHERE "answer" GLOB 'Hidden: *';
UPDATE "ClubChange" SET "rows" = replace("rows", '"answer":"Hidden: ', '"answer":"Withheld: ') WHERE instr("rows", '"answer":"Hidden: ') > 0;
UPDATE "ClubChange" SET "summary" = 'Withheld ' || substr("summary", 5) WHERE "summary" GLOB 'Hid *';
