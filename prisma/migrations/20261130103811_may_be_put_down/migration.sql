-- AlterTable
ALTER TABLE "Operation" ADD COLUMN "mayBePutDown" BOOLEAN NOT NULL DEFAULT false;
