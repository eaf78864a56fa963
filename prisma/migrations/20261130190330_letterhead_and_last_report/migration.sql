-- AlterTable
ALTER TABLE "Restoration" ADD COLUMN "reportedOn" TEXT;

-- AlterTable
ALTER TABLE "Workshop" ADD COLUMN "address" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Workshop" ADD COLUMN "replyTo" TEXT NOT NULL DEFAULT '';
