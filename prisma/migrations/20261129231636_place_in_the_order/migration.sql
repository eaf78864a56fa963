-- AlterTable
ALTER TABLE "Operation" ADD COLUMN "place" INTEGER;
