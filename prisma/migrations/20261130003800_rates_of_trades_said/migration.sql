-- What was changed of a trade's hands before they became the workshop's is what an hour of the trade is charged at alone:
-- its summary says no more than taking it back does.
UPDATE "Change"
SET "summary" = 'Changed hands of ' || substr("summary", length('Changed trade ') + 1) || ', which are the workshop''s now: nothing is left to take back'
WHERE "summary" LIKE 'Changed trade %' AND "summary" NOT LIKE 'Changed trade rate %'
    AND json_array_length("rows") = 1
    AND json_extract("rows", '$[0].table') = 'tradeRate'
    AND json_remove(json_extract("rows", '$[0].before'), '$.revision') = json_remove(json_extract("rows", '$[0].after'), '$.revision');

UPDATE "Change"
SET "summary" = replace("summary", 'ed trade ', 'ed trade rate ')
WHERE ("summary" LIKE 'Added trade %' OR "summary" LIKE 'Changed trade %' OR "summary" LIKE 'Removed trade %')
    AND "summary" NOT LIKE '%ed trade rate %'
    AND json_extract("rows", '$[0].table') = 'tradeRate';
