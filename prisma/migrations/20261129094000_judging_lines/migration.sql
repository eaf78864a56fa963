-- AlterTable
ALTER TABLE "JudgingLine" ADD COLUMN "disqualifying" BOOLEAN NOT NULL DEFAULT false;
ALTER TABLE "Operation" ADD COLUMN "judgingLineId" TEXT REFERENCES "JudgingLine" ("id") ON DELETE SET NULL ON UPDATE CASCADE;
ALTER TABLE "Part" ADD COLUMN "judgingLineId" TEXT REFERENCES "JudgingLine" ("id") ON DELETE SET NULL ON UPDATE CASCADE;
ALTER TABLE "Restoration" ADD COLUMN "pointStep" REAL;

-- CreateIndex
CREATE INDEX "Operation_judgingLineId_idx" ON "Operation"("judgingLineId");

-- CreateIndex
CREATE INDEX "Part_judgingLineId_idx" ON "Part"("judgingLineId");
