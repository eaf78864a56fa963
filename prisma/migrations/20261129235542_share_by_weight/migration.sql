-- AlterTable
ALTER TABLE "Quote" ADD COLUMN "weightGrams" INTEGER;

-- AlterTable
ALTER TABLE "Supplier" ADD COLUMN "shareBy" TEXT NOT NULL DEFAULT 'VALUE';
