-- AlterTable
ALTER TABLE "Restoration" ADD COLUMN "countOwnHours" BOOLEAN NOT NULL DEFAULT true;
