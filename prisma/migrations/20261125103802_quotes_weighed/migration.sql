-- AlterTable
ALTER TABLE "JudgingSection" ADD COLUMN "cap" REAL;

-- CreateTable
CREATE TABLE "ExchangeRate" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "date" TEXT NOT NULL,
    "base" TEXT NOT NULL,
    "counter" TEXT NOT NULL,
    "rate" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ExchangeRate_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "OperationWay" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "operationId" TEXT NOT NULL,
    "supplierId" TEXT,
    "code" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "hours" REAL NOT NULL DEFAULT 0,
    "days" INTEGER NOT NULL DEFAULT 0,
    "priceMinor" INTEGER NOT NULL DEFAULT 0,
    "currency" TEXT NOT NULL,
    "points" REAL NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "OperationWay_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "OperationWay_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "OperationWay_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PartBan" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "partId" TEXT NOT NULL,
    "provenance" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "PartBan_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "KnockOn" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "quoteId" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "priceMinor" INTEGER NOT NULL DEFAULT 0,
    "currency" TEXT NOT NULL,
    "hours" REAL NOT NULL DEFAULT 0,
    "points" REAL NOT NULL DEFAULT 0,
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "KnockOn_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "StatedDimension" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "quoteId" TEXT NOT NULL,
    "dimension" TEXT NOT NULL,
    "value" REAL NOT NULL,
    "unit" TEXT NOT NULL DEFAULT 'MM',
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "StatedDimension_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Find" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT,
    "quoteId" TEXT,
    "clientKey" TEXT NOT NULL,
    "what" TEXT NOT NULL,
    "seller" TEXT NOT NULL DEFAULT '',
    "askedMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "provenance" TEXT,
    "condition" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "foundOn" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Find_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Find_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Find_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "JudgingDeduction" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "sectionId" TEXT NOT NULL,
    "provenance" TEXT NOT NULL,
    "points" REAL NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "JudgingDeduction_sectionId_fkey" FOREIGN KEY ("sectionId") REFERENCES "JudgingSection" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Operation" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "trade" TEXT NOT NULL DEFAULT '',
    "section" TEXT NOT NULL DEFAULT '',
    "hoursLow" REAL,
    "hoursLikely" REAL NOT NULL,
    "hoursHigh" REAL,
    "state" TEXT NOT NULL DEFAULT 'NOT_STARTED',
    "startedOn" TEXT,
    "finishedOn" TEXT,
    "remainingHours" REAL,
    "chosenWayId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Operation_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Operation_chosenWayId_fkey" FOREIGN KEY ("chosenWayId") REFERENCES "OperationWay" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Operation" ("code", "finishedOn", "hoursHigh", "hoursLikely", "hoursLow", "id", "notes", "remainingHours", "restorationId", "revision", "section", "startedOn", "state", "title", "trade") SELECT "code", "finishedOn", "hoursHigh", "hoursLikely", "hoursLow", "id", "notes", "remainingHours", "restorationId", "revision", "section", "startedOn", "state", "title", "trade" FROM "Operation";
DROP TABLE "Operation";
ALTER TABLE "new_Operation" RENAME TO "Operation";
CREATE UNIQUE INDEX "Operation_chosenWayId_key" ON "Operation"("chosenWayId");
CREATE UNIQUE INDEX "Operation_restorationId_code_key" ON "Operation"("restorationId", "code");
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
    "estimateMinor" INTEGER,
    "locked" BOOLEAN NOT NULL DEFAULT false,
    "visible" BOOLEAN NOT NULL DEFAULT true,
    "judgingSectionId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Part_judgingSectionId_fkey" FOREIGN KEY ("judgingSectionId") REFERENCES "JudgingSection" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Part_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Part_chosenQuoteId_fkey" FOREIGN KEY ("chosenQuoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Part" ("chosenQuoteId", "code", "estimateMinor", "id", "name", "notes", "quantity", "restorationId", "revision", "safetyCritical", "section", "stateOnHand") SELECT "chosenQuoteId", "code", "estimateMinor", "id", "name", "notes", "quantity", "restorationId", "revision", "safetyCritical", "section", "stateOnHand" FROM "Part";
DROP TABLE "Part";
ALTER TABLE "new_Part" RENAME TO "Part";
CREATE UNIQUE INDEX "Part_chosenQuoteId_key" ON "Part"("chosenQuoteId");
CREATE INDEX "Part_judgingSectionId_idx" ON "Part"("judgingSectionId");
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
    "condition" TEXT NOT NULL DEFAULT 'SERVICEABLE',
    "coreChargeMinor" INTEGER NOT NULL DEFAULT 0,
    "coreReturned" BOOLEAN NOT NULL DEFAULT false,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Quote_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
INSERT INTO "new_Quote" ("code", "currency", "depositMinor", "dutyRate", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil") SELECT "code", "currency", "depositMinor", "dutyRate", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil" FROM "Quote";
DROP TABLE "Quote";
ALTER TABLE "new_Quote" RENAME TO "Quote";
CREATE INDEX "Quote_partId_idx" ON "Quote"("partId");
CREATE INDEX "Quote_supplierId_idx" ON "Quote"("supplierId");
CREATE UNIQUE INDEX "Quote_restorationId_code_key" ON "Quote"("restorationId", "code");
CREATE TABLE "new_Restoration" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "machine" TEXT NOT NULL,
    "owner" TEXT NOT NULL DEFAULT '',
    "description" TEXT NOT NULL DEFAULT '',
    "targetName" TEXT NOT NULL DEFAULT '',
    "targetDate" TEXT,
    "dataDate" TEXT,
    "currency" TEXT NOT NULL DEFAULT 'GBP',
    "capMinor" INTEGER,
    "confidence" REAL,
    "pricePerDayMinor" INTEGER,
    "pricePerPointMinor" INTEGER,
    "customsBasis" TEXT NOT NULL DEFAULT 'CIF',
    "planRevision" INTEGER NOT NULL DEFAULT 1,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Restoration_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_Restoration" ("capMinor", "confidence", "currency", "dataDate", "description", "id", "machine", "owner", "planRevision", "revision", "targetDate", "targetName", "workshopId") SELECT "capMinor", "confidence", "currency", "dataDate", "description", "id", "machine", "owner", "planRevision", "revision", "targetDate", "targetName", "workshopId" FROM "Restoration";
DROP TABLE "Restoration";
ALTER TABLE "new_Restoration" RENAME TO "Restoration";
CREATE INDEX "Restoration_workshopId_idx" ON "Restoration"("workshopId");
CREATE TABLE "new_SpecificationRow" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "partId" TEXT NOT NULL,
    "dimension" TEXT NOT NULL,
    "nominal" REAL NOT NULL,
    "unit" TEXT NOT NULL DEFAULT 'MM',
    "minus" REAL NOT NULL DEFAULT 0,
    "plus" REAL NOT NULL DEFAULT 0,
    "nature" TEXT NOT NULL DEFAULT 'OUTSIDE',
    "note" TEXT NOT NULL DEFAULT '',
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "SpecificationRow_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_SpecificationRow" ("dimension", "id", "minus", "nominal", "note", "partId", "plus", "position", "revision", "unit") SELECT "dimension", "id", "minus", "nominal", "note", "partId", "plus", "position", "revision", "unit" FROM "SpecificationRow";
DROP TABLE "SpecificationRow";
ALTER TABLE "new_SpecificationRow" RENAME TO "SpecificationRow";
CREATE INDEX "SpecificationRow_partId_idx" ON "SpecificationRow"("partId");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;

-- CreateIndex
CREATE INDEX "ExchangeRate_workshopId_date_idx" ON "ExchangeRate"("workshopId", "date");

-- CreateIndex
CREATE UNIQUE INDEX "ExchangeRate_workshopId_base_counter_date_key" ON "ExchangeRate"("workshopId", "base", "counter", "date");

-- CreateIndex
CREATE INDEX "OperationWay_operationId_idx" ON "OperationWay"("operationId");

-- CreateIndex
CREATE INDEX "OperationWay_supplierId_idx" ON "OperationWay"("supplierId");

-- CreateIndex
CREATE UNIQUE INDEX "OperationWay_restorationId_code_key" ON "OperationWay"("restorationId", "code");

-- CreateIndex
CREATE UNIQUE INDEX "PartBan_partId_provenance_key" ON "PartBan"("partId", "provenance");

-- CreateIndex
CREATE INDEX "KnockOn_quoteId_idx" ON "KnockOn"("quoteId");

-- CreateIndex
CREATE UNIQUE INDEX "StatedDimension_quoteId_dimension_key" ON "StatedDimension"("quoteId", "dimension");

-- CreateIndex
CREATE INDEX "Find_partId_idx" ON "Find"("partId");

-- CreateIndex
CREATE INDEX "Find_quoteId_idx" ON "Find"("quoteId");

-- CreateIndex
CREATE UNIQUE INDEX "Find_restorationId_clientKey_key" ON "Find"("restorationId", "clientKey");

-- CreateIndex
CREATE UNIQUE INDEX "JudgingDeduction_sectionId_provenance_key" ON "JudgingDeduction"("sectionId", "provenance");
