-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Workshop" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "name" TEXT NOT NULL,
    "demo" BOOLEAN NOT NULL DEFAULT false,
    "nightlyBackups" BOOLEAN NOT NULL DEFAULT true,
    "backupsKept" INTEGER NOT NULL DEFAULT 7,
    "timeZone" TEXT,
    "shopSpread" REAL NOT NULL DEFAULT 0.2,
    "tradeSpread" REAL NOT NULL DEFAULT 0.15,
    "revision" INTEGER NOT NULL DEFAULT 1
);
INSERT INTO "new_Workshop" ("backupsKept", "demo", "id", "name", "nightlyBackups", "revision", "timeZone") SELECT "backupsKept", "demo", "id", "name", "nightlyBackups", "revision", "timeZone" FROM "Workshop";
DROP TABLE "Workshop";
ALTER TABLE "new_Workshop" RENAME TO "Workshop";
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;
