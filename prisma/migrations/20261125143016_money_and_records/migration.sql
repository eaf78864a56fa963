-- AlterTable
ALTER TABLE "Hands" ADD COLUMN "rateMinor" INTEGER;

-- AlterTable
ALTER TABLE "Restoration" ADD COLUMN "consentOverMinor" INTEGER;
ALTER TABLE "Restoration" ADD COLUMN "hourlyRateMinor" INTEGER;

-- CreateTable
CREATE TABLE "HoursBooked" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "operationId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "clientKey" TEXT NOT NULL,
    "workedOn" TEXT NOT NULL,
    "hours" REAL NOT NULL,
    "remainingHours" REAL,
    "rateMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "notes" TEXT NOT NULL DEFAULT '',
    "bookedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "correctsId" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "HoursBooked_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "HoursBooked_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "HoursBooked_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "HoursBooked_correctsId_fkey" FOREIGN KEY ("correctsId") REFERENCES "HoursBooked" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Invoice" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "kind" TEXT NOT NULL DEFAULT 'INVOICE',
    "day" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "notes" TEXT NOT NULL DEFAULT '',
    "correctsId" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Invoice_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Invoice_correctsId_fkey" FOREIGN KEY ("correctsId") REFERENCES "Invoice" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Decision" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "question" TEXT NOT NULL DEFAULT '',
    "amountMinor" INTEGER,
    "currency" TEXT NOT NULL,
    "quoteId" TEXT,
    "askedOn" TEXT NOT NULL,
    "askedById" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'WAITING',
    "answeredAt" DATETIME,
    "answeredById" TEXT,
    "answeredAs" TEXT NOT NULL DEFAULT '',
    "answer" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Decision_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Decision_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Decision_askedById_fkey" FOREIGN KEY ("askedById") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Decision_answeredById_fkey" FOREIGN KEY ("answeredById") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Photograph" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "partId" TEXT,
    "quoteId" TEXT,
    "operationId" TEXT,
    "snagId" TEXT,
    "hash" TEXT NOT NULL,
    "mediaType" TEXT NOT NULL,
    "bytes" INTEGER NOT NULL,
    "width" INTEGER NOT NULL,
    "height" INTEGER NOT NULL,
    "caption" TEXT NOT NULL DEFAULT '',
    "takenOn" TEXT,
    "forOwner" BOOLEAN NOT NULL DEFAULT false,
    "accountId" TEXT NOT NULL,
    "addedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Photograph_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Photograph_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Photograph_quoteId_fkey" FOREIGN KEY ("quoteId") REFERENCES "Quote" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Photograph_operationId_fkey" FOREIGN KEY ("operationId") REFERENCES "Operation" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Photograph_snagId_fkey" FOREIGN KEY ("snagId") REFERENCES "Snag" ("id") ON DELETE SET NULL ON UPDATE CASCADE,
    CONSTRAINT "Photograph_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "CalendarFeed" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "accountId" TEXT NOT NULL,
    "secretHash" TEXT NOT NULL,
    "madeAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "readAt" DATETIME,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "CalendarFeed_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "CalendarFeed_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Account" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "email" TEXT,
    "passwordHash" TEXT,
    "role" TEXT NOT NULL DEFAULT 'RESTORER',
    "admin" BOOLEAN NOT NULL DEFAULT false,
    "closed" BOOLEAN NOT NULL DEFAULT false,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "dailySummary" BOOLEAN NOT NULL DEFAULT false,
    "summarySent" TEXT,
    CONSTRAINT "Account_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_Account" ("admin", "closed", "email", "id", "name", "passwordHash", "revision", "role", "workshopId") SELECT "admin", "closed", "email", "id", "name", "passwordHash", "revision", "role", "workshopId" FROM "Account";
DROP TABLE "Account";
ALTER TABLE "new_Account" RENAME TO "Account";
CREATE UNIQUE INDEX "Account_email_key" ON "Account"("email");
CREATE INDEX "Account_workshopId_idx" ON "Account"("workshopId");
CREATE TABLE "new_Payment" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "orderId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "paidOn" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "rate" TEXT,
    "correctsId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Payment_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Payment_correctsId_fkey" FOREIGN KEY ("correctsId") REFERENCES "Payment" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
INSERT INTO "new_Payment" ("amountMinor", "currency", "id", "kind", "notes", "orderId", "paidOn", "revision") SELECT "amountMinor", "currency", "id", "kind", "notes", "orderId", "paidOn", "revision" FROM "Payment";
DROP TABLE "Payment";
ALTER TABLE "new_Payment" RENAME TO "Payment";
CREATE UNIQUE INDEX "Payment_correctsId_key" ON "Payment"("correctsId");
CREATE INDEX "Payment_orderId_idx" ON "Payment"("orderId");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;

-- CreateIndex
CREATE UNIQUE INDEX "HoursBooked_correctsId_key" ON "HoursBooked"("correctsId");

-- CreateIndex
CREATE INDEX "HoursBooked_operationId_idx" ON "HoursBooked"("operationId");

-- CreateIndex
CREATE INDEX "HoursBooked_accountId_idx" ON "HoursBooked"("accountId");

-- CreateIndex
CREATE UNIQUE INDEX "HoursBooked_restorationId_clientKey_key" ON "HoursBooked"("restorationId", "clientKey");

-- CreateIndex
CREATE UNIQUE INDEX "Invoice_correctsId_key" ON "Invoice"("correctsId");

-- CreateIndex
CREATE UNIQUE INDEX "Invoice_restorationId_code_key" ON "Invoice"("restorationId", "code");

-- CreateIndex
CREATE INDEX "Decision_restorationId_idx" ON "Decision"("restorationId");

-- CreateIndex
CREATE INDEX "Decision_quoteId_idx" ON "Decision"("quoteId");

-- CreateIndex
CREATE INDEX "Photograph_restorationId_idx" ON "Photograph"("restorationId");

-- CreateIndex
CREATE INDEX "Photograph_partId_idx" ON "Photograph"("partId");

-- CreateIndex
CREATE INDEX "Photograph_quoteId_idx" ON "Photograph"("quoteId");

-- CreateIndex
CREATE INDEX "Photograph_operationId_idx" ON "Photograph"("operationId");

-- CreateIndex
CREATE INDEX "Photograph_snagId_idx" ON "Photograph"("snagId");

-- CreateIndex
CREATE UNIQUE INDEX "CalendarFeed_secretHash_key" ON "CalendarFeed"("secretHash");

-- CreateIndex
CREATE INDEX "CalendarFeed_restorationId_idx" ON "CalendarFeed"("restorationId");

-- CreateIndex
CREATE INDEX "CalendarFeed_accountId_idx" ON "CalendarFeed"("accountId");
