-- The club's words for who sees to it and for what is wrong: the rows stay as they are, under the names of today.
ALTER TABLE "Club" RENAME COLUMN "postsPerDay" TO "entriesPerDay";
ALTER TABLE "ClubMember" RENAME COLUMN "admin" TO "steward";
ALTER TABLE "ClubSource" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "ClubSource" RENAME COLUMN "hiddenReason" TO "withheldReason";
ALTER TABLE "Want" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "Want" RENAME COLUMN "hiddenReason" TO "withheldReason";
ALTER TABLE "Spare" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "Spare" RENAME COLUMN "hiddenReason" TO "withheldReason";
ALTER TABLE "Batch" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "Batch" RENAME COLUMN "hiddenReason" TO "withheldReason";
ALTER TABLE "MatchMessage" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "MatchMessage" RENAME COLUMN "hiddenReason" TO "withheldReason";
ALTER TABLE "MatchMessage" RENAME COLUMN "threadId" TO "correspondenceId";
ALTER TABLE "MatchThread" RENAME TO "Correspondence";
ALTER TABLE "ClubReport" RENAME TO "ClubComplaint";
ALTER TABLE "ClubComplaint" RENAME COLUMN "postedAt" TO "enteredAt";
ALTER TABLE "ClubComplaint" RENAME COLUMN "settled" TO "answered";
ALTER TABLE "ClubComplaint" RENAME COLUMN "outcome" TO "answer";

-- Indexes are named for their columns.
DROP INDEX "ClubSource_memberId_postedAt_idx";
CREATE INDEX "ClubSource_memberId_enteredAt_idx" ON "ClubSource"("memberId", "enteredAt");
DROP INDEX "Want_clubId_postedAt_idx";
CREATE INDEX "Want_clubId_enteredAt_idx" ON "Want"("clubId", "enteredAt");
DROP INDEX "Want_memberId_postedAt_idx";
CREATE INDEX "Want_memberId_enteredAt_idx" ON "Want"("memberId", "enteredAt");
DROP INDEX "Spare_clubId_postedAt_idx";
CREATE INDEX "Spare_clubId_enteredAt_idx" ON "Spare"("clubId", "enteredAt");
DROP INDEX "Spare_memberId_postedAt_idx";
CREATE INDEX "Spare_memberId_enteredAt_idx" ON "Spare"("memberId", "enteredAt");
DROP INDEX "Batch_memberId_postedAt_idx";
CREATE INDEX "Batch_memberId_enteredAt_idx" ON "Batch"("memberId", "enteredAt");
DROP INDEX "MatchMessage_threadId_postedAt_idx";
CREATE INDEX "MatchMessage_correspondenceId_enteredAt_idx" ON "MatchMessage"("correspondenceId", "enteredAt");
DROP INDEX "MatchMessage_memberId_postedAt_idx";
CREATE INDEX "MatchMessage_memberId_enteredAt_idx" ON "MatchMessage"("memberId", "enteredAt");
DROP INDEX "MatchThread_spareId_idx";
CREATE INDEX "Correspondence_spareId_idx" ON "Correspondence"("spareId");
DROP INDEX "MatchThread_wantId_spareId_key";
CREATE UNIQUE INDEX "Correspondence_wantId_spareId_key" ON "Correspondence"("wantId", "spareId");
DROP INDEX "ClubReport_clubId_settled_postedAt_idx";
CREATE INDEX "ClubComplaint_clubId_answered_enteredAt_idx" ON "ClubComplaint"("clubId", "answered", "enteredAt");
DROP INDEX "ClubReport_memberId_postedAt_idx";
CREATE INDEX "ClubComplaint_memberId_enteredAt_idx" ON "ClubComplaint"("memberId", "enteredAt");

-- What was changed before can still be read and taken back: the rows of a change name tables and fields.
UPDATE "ClubChange" SET "rows" = replace(replace(replace(replace(replace(replace(replace(replace(replace("rows",
    '"table":"clubReport"', '"table":"clubComplaint"'),
    '"table":"matchThread"', '"table":"correspondence"'),
    '"threadId":', '"correspondenceId":'),
    '"postsPerDay":', '"entriesPerDay":'),
    '"postedAt":', '"enteredAt":'),
    '"hiddenReason":', '"withheldReason":'),
    '"admin":', '"steward":'),
    '"settled":', '"answered":'),
    '"outcome":', '"answer":');
