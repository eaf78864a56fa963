-- Names down for a batch: the rows stay as they are, under the names of today.
ALTER TABLE "Batch" RENAME COLUMN "pledged" TO "putDown";
ALTER TABLE "Batch" RENAME COLUMN "openedOn" TO "begunOn";

-- The state begins with another word, so its column is a new one.
ALTER TABLE "Batch" RENAME COLUMN "state" TO "stateBefore";
ALTER TABLE "Batch" ADD COLUMN "state" TEXT NOT NULL DEFAULT 'TAKING_NAMES';
UPDATE "Batch" SET "state" = CASE "stateBefore" WHEN 'CLOSED' THEN 'GOES_AHEAD' WHEN 'FAILED' THEN 'NOT_FILLED' ELSE 'TAKING_NAMES' END;
DROP INDEX "Batch_clubId_state_closesOn_idx";
ALTER TABLE "Batch" DROP COLUMN "stateBefore";

-- CreateIndex
CREATE INDEX "Batch_clubId_state_closesOn_idx" ON "Batch"("clubId", "state", "closesOn");

ALTER TABLE "Pledge" RENAME TO "NameDown";
ALTER TABLE "NameDown" RENAME COLUMN "pledgedAt" TO "putDownAt";
ALTER TABLE "NameDown" RENAME COLUMN "withdrawn" TO "takenOff";
DROP INDEX "Pledge_memberId_idx";
DROP INDEX "Pledge_batchId_memberId_key";

-- CreateIndex
CREATE INDEX "NameDown_memberId_idx" ON "NameDown"("memberId");

-- CreateIndex
CREATE UNIQUE INDEX "NameDown_batchId_memberId_key" ON "NameDown"("batchId", "memberId");

-- What was changed before can still be read and taken back: the rows of a change name tables, fields and states.
UPDATE "ClubChange" SET "rows" = replace(replace(replace(replace(replace(replace(replace(replace("rows",
    '"table":"pledge"', '"table":"nameDown"'),
    '"pledged":', '"putDown":'),
    '"openedOn":', '"begunOn":'),
    '"pledgedAt":', '"putDownAt":'),
    '"withdrawn":', '"takenOff":'),
    '"state":"OPEN"', '"state":"TAKING_NAMES"'),
    '"state":"CLOSED"', '"state":"GOES_AHEAD"'),
    '"state":"FAILED"', '"state":"NOT_FILLED"');
