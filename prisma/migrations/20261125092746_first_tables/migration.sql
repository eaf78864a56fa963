-- CreateTable
CREATE TABLE "Workshop" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "Account" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "role" TEXT NOT NULL DEFAULT 'RESTORER',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Account_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Restoration" (
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
    "planRevision" INTEGER NOT NULL DEFAULT 1,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Restoration_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ShopCalendar" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "monday" REAL NOT NULL DEFAULT 8,
    "tuesday" REAL NOT NULL DEFAULT 8,
    "wednesday" REAL NOT NULL DEFAULT 8,
    "thursday" REAL NOT NULL DEFAULT 8,
    "friday" REAL NOT NULL DEFAULT 8,
    "saturday" REAL NOT NULL DEFAULT 0,
    "sunday" REAL NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ShopCalendar_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ClosedDate" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "date" TEXT NOT NULL,
    "reason" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ClosedDate_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Hands" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "trade" TEXT NOT NULL,
    "people" INTEGER NOT NULL DEFAULT 1,
    "hoursPerDay" REAL NOT NULL DEFAULT 8,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Hands_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Operation" (
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
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Operation_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Link" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "beforeId" TEXT NOT NULL,
    "afterId" TEXT NOT NULL,
    "lag" REAL NOT NULL DEFAULT 0,
    "lagUnit" TEXT NOT NULL DEFAULT 'HOURS',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Link_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Link_beforeId_fkey" FOREIGN KEY ("beforeId") REFERENCES "Operation" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Link_afterId_fkey" FOREIGN KEY ("afterId") REFERENCES "Operation" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Need" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "operationId" TEXT NOT NULL,
    "partId" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL DEFAULT 1,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Need_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Need_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Need_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Part" (
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
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Part_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Part_chosenQuoteId_fkey" FOREIGN KEY ("chosenQuoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PartReference" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "partId" TEXT NOT NULL,
    "source" TEXT NOT NULL DEFAULT '',
    "number" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "PartReference_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "SpecificationRow" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "partId" TEXT NOT NULL,
    "dimension" TEXT NOT NULL,
    "nominal" REAL NOT NULL,
    "unit" TEXT NOT NULL DEFAULT 'MM',
    "minus" REAL NOT NULL DEFAULT 0,
    "plus" REAL NOT NULL DEFAULT 0,
    "note" TEXT NOT NULL DEFAULT '',
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "SpecificationRow_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Supplier" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL DEFAULT 'DEALER',
    "country" TEXT NOT NULL DEFAULT '',
    "email" TEXT NOT NULL DEFAULT '',
    "phone" TEXT NOT NULL DEFAULT '',
    "website" TEXT NOT NULL DEFAULT '',
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Supplier_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Quote" (
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
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Quote_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "PriceBreak" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "quoteId" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "unitPriceMinor" INTEGER NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "PriceBreak_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Order" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT NOT NULL,
    "quoteId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL DEFAULT 1,
    "state" TEXT NOT NULL DEFAULT 'PLACED',
    "placedOn" TEXT NOT NULL,
    "promisedOn" TEXT NOT NULL,
    "expectedOn" TEXT,
    "arrivedOn" TEXT,
    "fitRating" INTEGER,
    "totalMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Order_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Order_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Order_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Payment" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "paidOn" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Payment_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Snag" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "operationId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "description" TEXT NOT NULL DEFAULT '',
    "foundOn" TEXT,
    "clearedOn" TEXT,
    "chosenRemedyId" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Snag_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Snag_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Snag_chosenRemedyId_fkey" FOREIGN KEY ("chosenRemedyId") REFERENCES "Remedy" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Remedy" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "snagId" TEXT NOT NULL,
    "supplierId" TEXT,
    "code" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "priceMinor" INTEGER NOT NULL DEFAULT 0,
    "currency" TEXT NOT NULL,
    "days" INTEGER NOT NULL DEFAULT 0,
    "hours" REAL NOT NULL DEFAULT 0,
    "points" REAL NOT NULL DEFAULT 0,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Remedy_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Remedy_snagId_fkey" FOREIGN KEY ("snagId") REFERENCES "Snag" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Remedy_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Inspection" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT NOT NULL,
    "operationId" TEXT,
    "inspector" TEXT NOT NULL,
    "inspectedOn" TEXT NOT NULL,
    "what" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Inspection_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Inspection_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Inspection_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "JudgingSection" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "maximum" REAL NOT NULL,
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "JudgingSection_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "JudgingLine" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "sectionId" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "maximum" REAL NOT NULL,
    "mandatory" BOOLEAN NOT NULL DEFAULT false,
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "JudgingLine_sectionId_fkey" FOREIGN KEY ("sectionId") REFERENCES "JudgingSection" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "AwardFloor" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "award" TEXT NOT NULL,
    "points" REAL NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "AwardFloor_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Change" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "summary" TEXT NOT NULL,
    "rows" TEXT NOT NULL,
    "undoOfId" TEXT,
    CONSTRAINT "Change_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Change_undoOfId_fkey" FOREIGN KEY ("undoOfId") REFERENCES "Change" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateIndex
CREATE INDEX "Account_workshopId_idx" ON "Account"("workshopId");

-- CreateIndex
CREATE INDEX "Restoration_workshopId_idx" ON "Restoration"("workshopId");

-- CreateIndex
CREATE UNIQUE INDEX "ShopCalendar_restorationId_key" ON "ShopCalendar"("restorationId");

-- CreateIndex
CREATE UNIQUE INDEX "ClosedDate_restorationId_date_key" ON "ClosedDate"("restorationId", "date");

-- CreateIndex
CREATE UNIQUE INDEX "Hands_restorationId_trade_key" ON "Hands"("restorationId", "trade");

-- CreateIndex
CREATE UNIQUE INDEX "Operation_restorationId_code_key" ON "Operation"("restorationId", "code");

-- CreateIndex
CREATE INDEX "Link_restorationId_idx" ON "Link"("restorationId");

-- CreateIndex
CREATE INDEX "Link_afterId_idx" ON "Link"("afterId");

-- CreateIndex
CREATE UNIQUE INDEX "Link_beforeId_afterId_key" ON "Link"("beforeId", "afterId");

-- CreateIndex
CREATE INDEX "Need_restorationId_idx" ON "Need"("restorationId");

-- CreateIndex
CREATE INDEX "Need_partId_idx" ON "Need"("partId");

-- CreateIndex
CREATE UNIQUE INDEX "Need_operationId_partId_key" ON "Need"("operationId", "partId");

-- CreateIndex
CREATE UNIQUE INDEX "Part_chosenQuoteId_key" ON "Part"("chosenQuoteId");

-- CreateIndex
CREATE UNIQUE INDEX "Part_restorationId_code_key" ON "Part"("restorationId", "code");

-- CreateIndex
CREATE INDEX "PartReference_partId_idx" ON "PartReference"("partId");

-- CreateIndex
CREATE INDEX "SpecificationRow_partId_idx" ON "SpecificationRow"("partId");

-- CreateIndex
CREATE UNIQUE INDEX "Supplier_workshopId_code_key" ON "Supplier"("workshopId", "code");

-- CreateIndex
CREATE INDEX "Quote_partId_idx" ON "Quote"("partId");

-- CreateIndex
CREATE INDEX "Quote_supplierId_idx" ON "Quote"("supplierId");

-- CreateIndex
CREATE UNIQUE INDEX "Quote_restorationId_code_key" ON "Quote"("restorationId", "code");

-- CreateIndex
CREATE UNIQUE INDEX "PriceBreak_quoteId_quantity_key" ON "PriceBreak"("quoteId", "quantity");

-- CreateIndex
CREATE INDEX "Order_partId_idx" ON "Order"("partId");

-- CreateIndex
CREATE INDEX "Order_quoteId_idx" ON "Order"("quoteId");

-- CreateIndex
CREATE UNIQUE INDEX "Order_restorationId_code_key" ON "Order"("restorationId", "code");

-- CreateIndex
CREATE INDEX "Payment_orderId_idx" ON "Payment"("orderId");

-- CreateIndex
CREATE UNIQUE INDEX "Snag_chosenRemedyId_key" ON "Snag"("chosenRemedyId");

-- CreateIndex
CREATE INDEX "Snag_operationId_idx" ON "Snag"("operationId");

-- CreateIndex
CREATE UNIQUE INDEX "Snag_restorationId_code_key" ON "Snag"("restorationId", "code");

-- CreateIndex
CREATE INDEX "Remedy_snagId_idx" ON "Remedy"("snagId");

-- CreateIndex
CREATE UNIQUE INDEX "Remedy_restorationId_code_key" ON "Remedy"("restorationId", "code");

-- CreateIndex
CREATE INDEX "Inspection_restorationId_idx" ON "Inspection"("restorationId");

-- CreateIndex
CREATE INDEX "Inspection_partId_idx" ON "Inspection"("partId");

-- CreateIndex
CREATE UNIQUE INDEX "JudgingSection_restorationId_name_key" ON "JudgingSection"("restorationId", "name");

-- CreateIndex
CREATE INDEX "JudgingLine_sectionId_idx" ON "JudgingLine"("sectionId");

-- CreateIndex
CREATE UNIQUE INDEX "AwardFloor_restorationId_award_key" ON "AwardFloor"("restorationId", "award");

-- CreateIndex
CREATE UNIQUE INDEX "Change_undoOfId_key" ON "Change"("undoOfId");

-- CreateIndex
CREATE INDEX "Change_restorationId_at_idx" ON "Change"("restorationId", "at");
