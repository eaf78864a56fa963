-- AlterTable
ALTER TABLE "Quote" ADD COLUMN "spareId" TEXT;

-- AlterTable
ALTER TABLE "ClubMember" ADD COLUMN "admin" BOOLEAN NOT NULL DEFAULT false;

-- Until now the admins of the workshops were the club's.
UPDATE "ClubMember" SET "admin" = true WHERE "accountId" IN (SELECT "id" FROM "Account" WHERE "admin");
