-- CreateTable
CREATE TABLE "SignIn" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "accountId" TEXT NOT NULL,
    "secretHash" TEXT NOT NULL,
    "browser" TEXT NOT NULL DEFAULT '',
    "begunAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "usedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "endsAt" DATETIME NOT NULL,
    CONSTRAINT "SignIn_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Invitation" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "accountId" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "secretHash" TEXT NOT NULL,
    "madeAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "endsAt" DATETIME NOT NULL,
    "usedAt" DATETIME,
    CONSTRAINT "Invitation_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE CASCADE ON UPDATE CASCADE
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
    CONSTRAINT "Account_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_Account" ("id", "name", "revision", "role", "workshopId") SELECT "id", "name", "revision", "role", "workshopId" FROM "Account";
DROP TABLE "Account";
ALTER TABLE "new_Account" RENAME TO "Account";
CREATE UNIQUE INDEX "Account_email_key" ON "Account"("email");
CREATE INDEX "Account_workshopId_idx" ON "Account"("workshopId");
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
    "confidence" REAL,
    "pricePerDayMinor" INTEGER,
    "pricePerPointMinor" INTEGER,
    "customsBasis" TEXT NOT NULL DEFAULT 'CIF',
    "planRevision" INTEGER NOT NULL DEFAULT 1,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Restoration_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Restoration_ownerAccountId_fkey" FOREIGN KEY ("ownerAccountId") REFERENCES "Account" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Restoration" ("capMinor", "confidence", "currency", "customsBasis", "dataDate", "description", "id", "machine", "owner", "planRevision", "pricePerDayMinor", "pricePerPointMinor", "revision", "targetDate", "targetName", "workshopId") SELECT "capMinor", "confidence", "currency", "customsBasis", "dataDate", "description", "id", "machine", "owner", "planRevision", "pricePerDayMinor", "pricePerPointMinor", "revision", "targetDate", "targetName", "workshopId" FROM "Restoration";
DROP TABLE "Restoration";
ALTER TABLE "new_Restoration" RENAME TO "Restoration";
CREATE INDEX "Restoration_workshopId_idx" ON "Restoration"("workshopId");
CREATE INDEX "Restoration_ownerAccountId_idx" ON "Restoration"("ownerAccountId");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;

-- CreateIndex
CREATE UNIQUE INDEX "SignIn_secretHash_key" ON "SignIn"("secretHash");

-- CreateIndex
CREATE INDEX "SignIn_accountId_idx" ON "SignIn"("accountId");

-- CreateIndex
CREATE UNIQUE INDEX "Invitation_secretHash_key" ON "Invitation"("secretHash");

-- CreateIndex
CREATE INDEX "Invitation_accountId_idx" ON "Invitation"("accountId");
