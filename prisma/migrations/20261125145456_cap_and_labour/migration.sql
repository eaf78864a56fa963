-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Restoration" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "machine" TEXT NOT NULL,
    "owner" TEXT NOT NULL DEFAULT '',
    "ownerAccountId" TEXT,
    "description" TEXT NOT NULL DEFAULT '',
    "targetName" TEXT NOT NULL DEFAULT '',
    "targetDate" TEXT,
    "dataDate" TEXT,
    "currency" TEXT NOT NULL DEFAULT 'GBP',
    "capMinor" INTEGER,
    "capCoversLabour" BOOLEAN NOT NULL DEFAULT false,
    "confidence" REAL,
    "pricePerDayMinor" INTEGER,
    "pricePerPointMinor" INTEGER,
    "customsBasis" TEXT NOT NULL DEFAULT 'CIF',
    "hourlyRateMinor" INTEGER,
    "consentOverMinor" INTEGER,
    "planRevision" INTEGER NOT NULL DEFAULT 1,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Restoration_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Restoration_ownerAccountId_fkey" FOREIGN KEY ("ownerAccountId") REFERENCES "Account" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Restoration" ("capMinor", "confidence", "consentOverMinor", "currency", "customsBasis", "dataDate", "description", "hourlyRateMinor", "id", "machine", "owner", "ownerAccountId", "planRevision", "pricePerDayMinor", "pricePerPointMinor", "revision", "targetDate", "targetName", "workshopId") SELECT "capMinor", "confidence", "consentOverMinor", "currency", "customsBasis", "dataDate", "description", "hourlyRateMinor", "id", "machine", "owner", "ownerAccountId", "planRevision", "pricePerDayMinor", "pricePerPointMinor", "revision", "targetDate", "targetName", "workshopId" FROM "Restoration";
DROP TABLE "Restoration";
ALTER TABLE "new_Restoration" RENAME TO "Restoration";
CREATE INDEX "Restoration_workshopId_idx" ON "Restoration"("workshopId");
CREATE INDEX "Restoration_ownerAccountId_idx" ON "Restoration"("ownerAccountId");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;
