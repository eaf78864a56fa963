-- CreateTable
CREATE TABLE "Hunt" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'SEARCHING',
    "begunOn" TEXT NOT NULL,
    "chancePerWeek" REAL NOT NULL,
    "beliefWeeks" REAL NOT NULL DEFAULT 26,
    "stopDate" TEXT,
    "priceMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "provenance" TEXT NOT NULL DEFAULT 'ORIGINAL',
    "leadDays" INTEGER NOT NULL DEFAULT 7,
    "preparationHours" REAL NOT NULL DEFAULT 0,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Hunt_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Hunt_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "HuntEvent" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "huntId" TEXT NOT NULL,
    "date" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "chance" REAL NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "HuntEvent_huntId_fkey" FOREIGN KEY ("huntId") REFERENCES "Hunt" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "DayFigures" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "day" TEXT NOT NULL,
    "planRevision" INTEGER NOT NULL,
    "targetDate" TEXT,
    "open" BOOLEAN NOT NULL,
    "completion" TEXT NOT NULL,
    "evenOdds" TEXT,
    "fourInFive" TEXT,
    "targetOdds" REAL,
    "costMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "holdUps" TEXT NOT NULL,
    CONSTRAINT "DayFigures_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Part" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "section" TEXT NOT NULL DEFAULT '',
    "quantity" INTEGER NOT NULL DEFAULT 1,
    "stateOnHand" TEXT NOT NULL DEFAULT 'MISSING',
    "safetyCritical" BOOLEAN NOT NULL DEFAULT false,
    "chosenQuoteId" TEXT,
    "fallbackQuoteId" TEXT,
    "estimateMinor" INTEGER,
    "locked" BOOLEAN NOT NULL DEFAULT false,
    "visible" BOOLEAN NOT NULL DEFAULT true,
    "judgingSectionId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Part_judgingSectionId_fkey" FOREIGN KEY ("judgingSectionId") REFERENCES "JudgingSection" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Part_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Part_chosenQuoteId_fkey" FOREIGN KEY ("chosenQuoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Part_fallbackQuoteId_fkey" FOREIGN KEY ("fallbackQuoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Part" ("chosenQuoteId", "code", "estimateMinor", "id", "judgingSectionId", "locked", "name", "notes", "quantity", "restorationId", "revision", "safetyCritical", "section", "stateOnHand", "visible") SELECT "chosenQuoteId", "code", "estimateMinor", "id", "judgingSectionId", "locked", "name", "notes", "quantity", "restorationId", "revision", "safetyCritical", "section", "stateOnHand", "visible" FROM "Part";
DROP TABLE "Part";
ALTER TABLE "new_Part" RENAME TO "Part";
CREATE UNIQUE INDEX "Part_chosenQuoteId_key" ON "Part"("chosenQuoteId");
CREATE INDEX "Part_judgingSectionId_idx" ON "Part"("judgingSectionId");
CREATE INDEX "Part_fallbackQuoteId_idx" ON "Part"("fallbackQuoteId");
CREATE UNIQUE INDEX "Part_restorationId_code_key" ON "Part"("restorationId", "code");
CREATE TABLE "new_Quote" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT NOT NULL,
    "supplierId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "provenance" TEXT NOT NULL,
    "unitPriceMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "minimumQuantity" INTEGER NOT NULL DEFAULT 1,
    "freightMinor" INTEGER NOT NULL DEFAULT 0,
    "insuranceMinor" INTEGER NOT NULL DEFAULT 0,
    "dutyRate" REAL NOT NULL DEFAULT 0,
    "taxRate" REAL NOT NULL DEFAULT 0,
    "incoterm" TEXT NOT NULL DEFAULT 'EXW',
    "depositMinor" INTEGER NOT NULL DEFAULT 0,
    "leadDays" INTEGER NOT NULL,
    "leadLow" INTEGER,
    "leadLikely" INTEGER,
    "leadHigh" INTEGER,
    "orderFrom" TEXT,
    "validUntil" TEXT,
    "preparationHours" REAL NOT NULL DEFAULT 0,
    "pointsAtRisk" REAL NOT NULL DEFAULT 0,
    "banned" BOOLEAN NOT NULL DEFAULT false,
    "failureChance" REAL NOT NULL DEFAULT 0,
    "condition" TEXT NOT NULL DEFAULT 'SERVICEABLE',
    "coreChargeMinor" INTEGER NOT NULL DEFAULT 0,
    "coreReturned" BOOLEAN NOT NULL DEFAULT false,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Quote_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
INSERT INTO "new_Quote" ("banned", "code", "condition", "coreChargeMinor", "coreReturned", "currency", "depositMinor", "dutyRate", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil") SELECT "banned", "code", "condition", "coreChargeMinor", "coreReturned", "currency", "depositMinor", "dutyRate", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil" FROM "Quote";
DROP TABLE "Quote";
ALTER TABLE "new_Quote" RENAME TO "Quote";
CREATE INDEX "Quote_partId_idx" ON "Quote"("partId");
CREATE INDEX "Quote_supplierId_idx" ON "Quote"("supplierId");
CREATE UNIQUE INDEX "Quote_restorationId_code_key" ON "Quote"("restorationId", "code");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;

-- CreateIndex
CREATE UNIQUE INDEX "Hunt_partId_key" ON "Hunt"("partId");

-- CreateIndex
CREATE INDEX "Hunt_restorationId_idx" ON "Hunt"("restorationId");

-- CreateIndex
CREATE INDEX "HuntEvent_huntId_idx" ON "HuntEvent"("huntId");

-- CreateIndex
CREATE UNIQUE INDEX "DayFigures_restorationId_day_key" ON "DayFigures"("restorationId", "day");
