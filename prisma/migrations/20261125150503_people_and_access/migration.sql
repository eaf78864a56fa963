-- CreateTable
CREATE TABLE "AccountEvent" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "byId" TEXT,
    "kind" TEXT NOT NULL,
    "summary" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    CONSTRAINT "AccountEvent_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- AlterTable
ALTER TABLE "Workshop" ADD COLUMN "demo" BOOLEAN NOT NULL DEFAULT false;

-- CreateIndex
CREATE INDEX "AccountEvent_workshopId_at_idx" ON "AccountEvent"("workshopId", "at");

-- CreateIndex
CREATE INDEX "AccountEvent_accountId_at_idx" ON "AccountEvent"("accountId", "at");
