-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_DayFigures" (
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
    "costMinor" REAL,
    "currency" TEXT NOT NULL,
    "holdUps" TEXT NOT NULL,
    CONSTRAINT "DayFigures_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_DayFigures" ("completion", "costMinor", "currency", "day", "evenOdds", "fourInFive", "holdUps", "id", "open", "planRevision", "restorationId", "targetDate", "targetOdds") SELECT "completion", "costMinor", "currency", "day", "evenOdds", "fourInFive", "holdUps", "id", "open", "planRevision", "restorationId", "targetDate", "targetOdds" FROM "DayFigures";
DROP TABLE "DayFigures";
ALTER TABLE "new_DayFigures" RENAME TO "DayFigures";
CREATE UNIQUE INDEX "DayFigures_restorationId_day_key" ON "DayFigures"("restorationId", "day");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;
