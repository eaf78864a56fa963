-- AlterTable
ALTER TABLE "Restoration" ADD COLUMN "carriageTaxed" BOOLEAN NOT NULL DEFAULT true;

-- Where duty fell on the goods as loaded, tax left the carriage out too: those figures stay as they are.
UPDATE "Restoration" SET "carriageTaxed" = false WHERE "customsBasis" = 'FOB';
