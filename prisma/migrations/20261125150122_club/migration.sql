-- CreateTable
CREATE TABLE "Club" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "currency" TEXT NOT NULL DEFAULT 'GBP',
    "dataDate" TEXT,
    "postsPerDay" INTEGER NOT NULL DEFAULT 50,
    "revision" INTEGER NOT NULL DEFAULT 1
);

-- CreateTable
CREATE TABLE "ClubMember" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "joinedOn" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ClubMember_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "ClubMember_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ClubSource" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "supplier" TEXT NOT NULL,
    "country" TEXT NOT NULL DEFAULT '',
    "part" TEXT NOT NULL,
    "machine" TEXT NOT NULL DEFAULT '',
    "references" TEXT NOT NULL DEFAULT '',
    "provenance" TEXT NOT NULL,
    "priceMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "orderId" TEXT,
    "failed" BOOLEAN NOT NULL DEFAULT false,
    "notes" TEXT NOT NULL DEFAULT '',
    "sharedOn" TEXT NOT NULL,
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "hiddenReason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ClubSource_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "ClubSource_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "ClubSource_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Want" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "partId" TEXT,
    "part" TEXT NOT NULL,
    "machine" TEXT NOT NULL DEFAULT '',
    "references" TEXT NOT NULL DEFAULT '',
    "quantity" INTEGER NOT NULL DEFAULT 1,
    "needBy" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "met" BOOLEAN NOT NULL DEFAULT false,
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "hiddenReason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Want_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Want_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Want_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Spare" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "part" TEXT NOT NULL,
    "machine" TEXT NOT NULL DEFAULT '',
    "references" TEXT NOT NULL DEFAULT '',
    "provenance" TEXT NOT NULL DEFAULT 'ORIGINAL',
    "condition" TEXT NOT NULL DEFAULT 'SERVICEABLE',
    "quantity" INTEGER NOT NULL DEFAULT 1,
    "priceMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "notes" TEXT NOT NULL DEFAULT '',
    "gone" BOOLEAN NOT NULL DEFAULT false,
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "hiddenReason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Spare_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Spare_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MatchThread" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "wantId" TEXT NOT NULL,
    "spareId" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "MatchThread_wantId_fkey" FOREIGN KEY ("wantId") REFERENCES "Want" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "MatchThread_spareId_fkey" FOREIGN KEY ("spareId") REFERENCES "Spare" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MatchMessage" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "threadId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "hiddenReason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "MatchMessage_threadId_fkey" FOREIGN KEY ("threadId") REFERENCES "MatchThread" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "MatchMessage_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Batch" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "part" TEXT NOT NULL,
    "machine" TEXT NOT NULL DEFAULT '',
    "references" TEXT NOT NULL DEFAULT '',
    "maker" TEXT NOT NULL,
    "basis" TEXT NOT NULL DEFAULT 'SAMPLE',
    "currency" TEXT NOT NULL,
    "patternMinor" INTEGER NOT NULL DEFAULT 0,
    "setUpMinor" INTEGER NOT NULL DEFAULT 0,
    "unitMinor" INTEGER NOT NULL DEFAULT 0,
    "sparePercent" INTEGER NOT NULL DEFAULT 10,
    "smallest" INTEGER NOT NULL,
    "most" INTEGER,
    "depositPercent" INTEGER NOT NULL DEFAULT 30,
    "openedOn" TEXT NOT NULL,
    "closesOn" TEXT NOT NULL,
    "leadDays" INTEGER NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'OPEN',
    "settledOn" TEXT,
    "pledged" INTEGER NOT NULL DEFAULT 0,
    "notes" TEXT NOT NULL DEFAULT '',
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "hiddenReason" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Batch_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Batch_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "BatchPrice" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "batchId" TEXT NOT NULL,
    "size" INTEGER NOT NULL,
    "unitMinor" INTEGER NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "BatchPrice_batchId_fkey" FOREIGN KEY ("batchId") REFERENCES "Batch" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "BatchStage" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "batchId" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "percent" INTEGER NOT NULL,
    "position" INTEGER NOT NULL DEFAULT 0,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "BatchStage_batchId_fkey" FOREIGN KEY ("batchId") REFERENCES "Batch" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Pledge" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "batchId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "quantity" INTEGER NOT NULL,
    "depositMinor" INTEGER NOT NULL,
    "depositState" TEXT NOT NULL DEFAULT 'HELD',
    "pledgedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "withdrawn" BOOLEAN NOT NULL DEFAULT false,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Pledge_batchId_fkey" FOREIGN KEY ("batchId") REFERENCES "Batch" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Pledge_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ClubReport" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "memberId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "rowId" TEXT NOT NULL,
    "row" TEXT NOT NULL,
    "reason" TEXT NOT NULL,
    "postedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "settled" BOOLEAN NOT NULL DEFAULT false,
    "outcome" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ClubReport_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "ClubReport_memberId_fkey" FOREIGN KEY ("memberId") REFERENCES "ClubMember" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "ClubChange" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "clubId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "at" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "summary" TEXT NOT NULL,
    "rows" TEXT NOT NULL,
    "undoOfId" TEXT,
    CONSTRAINT "ClubChange_clubId_fkey" FOREIGN KEY ("clubId") REFERENCES "Club" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "ClubChange_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "ClubChange_undoOfId_fkey" FOREIGN KEY ("undoOfId") REFERENCES "ClubChange" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
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
    "batchId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Quote_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Quote_supplierId_fkey" FOREIGN KEY ("supplierId") REFERENCES "Supplier" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Quote_batchId_fkey" FOREIGN KEY ("batchId") REFERENCES "Batch" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Quote" ("banned", "code", "condition", "coreChargeMinor", "coreReturned", "currency", "depositMinor", "dutyRate", "failureChance", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil") SELECT "banned", "code", "condition", "coreChargeMinor", "coreReturned", "currency", "depositMinor", "dutyRate", "failureChance", "freightMinor", "id", "incoterm", "insuranceMinor", "leadDays", "leadHigh", "leadLikely", "leadLow", "minimumQuantity", "notes", "orderFrom", "partId", "pointsAtRisk", "preparationHours", "provenance", "restorationId", "revision", "supplierId", "taxRate", "unitPriceMinor", "validUntil" FROM "Quote";
DROP TABLE "Quote";
ALTER TABLE "new_Quote" RENAME TO "Quote";
CREATE INDEX "Quote_partId_idx" ON "Quote"("partId");
CREATE INDEX "Quote_supplierId_idx" ON "Quote"("supplierId");
CREATE INDEX "Quote_batchId_idx" ON "Quote"("batchId");
CREATE UNIQUE INDEX "Quote_restorationId_code_key" ON "Quote"("restorationId", "code");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;

-- CreateIndex
CREATE UNIQUE INDEX "ClubMember_accountId_key" ON "ClubMember"("accountId");

-- CreateIndex
CREATE UNIQUE INDEX "ClubMember_clubId_name_key" ON "ClubMember"("clubId", "name");

-- CreateIndex
CREATE INDEX "ClubSource_clubId_sharedOn_idx" ON "ClubSource"("clubId", "sharedOn");

-- CreateIndex
CREATE INDEX "ClubSource_clubId_supplier_idx" ON "ClubSource"("clubId", "supplier");

-- CreateIndex
CREATE INDEX "ClubSource_memberId_postedAt_idx" ON "ClubSource"("memberId", "postedAt");

-- CreateIndex
CREATE INDEX "ClubSource_orderId_idx" ON "ClubSource"("orderId");

-- CreateIndex
CREATE UNIQUE INDEX "ClubSource_clubId_code_key" ON "ClubSource"("clubId", "code");

-- CreateIndex
CREATE INDEX "Want_clubId_postedAt_idx" ON "Want"("clubId", "postedAt");

-- CreateIndex
CREATE INDEX "Want_memberId_postedAt_idx" ON "Want"("memberId", "postedAt");

-- CreateIndex
CREATE INDEX "Want_partId_idx" ON "Want"("partId");

-- CreateIndex
CREATE UNIQUE INDEX "Want_clubId_code_key" ON "Want"("clubId", "code");

-- CreateIndex
CREATE INDEX "Spare_clubId_postedAt_idx" ON "Spare"("clubId", "postedAt");

-- CreateIndex
CREATE INDEX "Spare_memberId_postedAt_idx" ON "Spare"("memberId", "postedAt");

-- CreateIndex
CREATE UNIQUE INDEX "Spare_clubId_code_key" ON "Spare"("clubId", "code");

-- CreateIndex
CREATE INDEX "MatchThread_spareId_idx" ON "MatchThread"("spareId");

-- CreateIndex
CREATE UNIQUE INDEX "MatchThread_wantId_spareId_key" ON "MatchThread"("wantId", "spareId");

-- CreateIndex
CREATE INDEX "MatchMessage_threadId_postedAt_idx" ON "MatchMessage"("threadId", "postedAt");

-- CreateIndex
CREATE INDEX "MatchMessage_memberId_postedAt_idx" ON "MatchMessage"("memberId", "postedAt");

-- CreateIndex
CREATE INDEX "Batch_clubId_state_closesOn_idx" ON "Batch"("clubId", "state", "closesOn");

-- CreateIndex
CREATE INDEX "Batch_memberId_postedAt_idx" ON "Batch"("memberId", "postedAt");

-- CreateIndex
CREATE UNIQUE INDEX "Batch_clubId_code_key" ON "Batch"("clubId", "code");

-- CreateIndex
CREATE UNIQUE INDEX "BatchPrice_batchId_size_key" ON "BatchPrice"("batchId", "size");

-- CreateIndex
CREATE INDEX "BatchStage_batchId_idx" ON "BatchStage"("batchId");

-- CreateIndex
CREATE INDEX "Pledge_memberId_idx" ON "Pledge"("memberId");

-- CreateIndex
CREATE UNIQUE INDEX "Pledge_batchId_memberId_key" ON "Pledge"("batchId", "memberId");

-- CreateIndex
CREATE INDEX "ClubReport_clubId_settled_postedAt_idx" ON "ClubReport"("clubId", "settled", "postedAt");

-- CreateIndex
CREATE INDEX "ClubReport_memberId_postedAt_idx" ON "ClubReport"("memberId", "postedAt");

-- CreateIndex
CREATE UNIQUE INDEX "ClubChange_undoOfId_key" ON "ClubChange"("undoOfId");

-- CreateIndex
CREATE INDEX "ClubChange_clubId_at_idx" ON "ClubChange"("clubId", "at");
