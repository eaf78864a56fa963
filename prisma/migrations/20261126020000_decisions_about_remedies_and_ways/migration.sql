-- AlterTable
ALTER TABLE "Decision" ADD COLUMN "remedyId" TEXT REFERENCES "Remedy" ("id") ON DELETE SET NULL ON UPDATE CASCADE;
ALTER TABLE "Decision" ADD COLUMN "wayId" TEXT REFERENCES "OperationWay" ("id") ON DELETE SET NULL ON UPDATE CASCADE;

-- CreateIndex
CREATE INDEX "Decision_remedyId_idx" ON "Decision"("remedyId");

-- CreateIndex
CREATE INDEX "Decision_wayId_idx" ON "Decision"("wayId");
