-- AlterTable
ALTER TABLE "Operation" ADD COLUMN "hands" INTEGER NOT NULL DEFAULT 1;
ALTER TABLE "Operation" ADD COLUMN "alsoTrades" TEXT NOT NULL DEFAULT '[]';
ALTER TABLE "Operation" ADD COLUMN "first" BOOLEAN NOT NULL DEFAULT false;
ALTER TABLE "Operation" ADD COLUMN "notBefore" TEXT;
ALTER TABLE "Restoration" ADD COLUMN "rank" INTEGER NOT NULL DEFAULT 0;

-- Those that are there keep the order in which they came.
UPDATE "Restoration" SET "rank" = (
    SELECT count(*) FROM "Restoration" AS "earlier" WHERE "earlier"."workshopId" = "Restoration"."workshopId" AND "earlier"."rowid" <= "Restoration"."rowid"
);

-- CreateTable
CREATE TABLE "Hand" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "people" INTEGER NOT NULL DEFAULT 1,
    "trades" TEXT NOT NULL,
    "monday" REAL NOT NULL DEFAULT 8,
    "tuesday" REAL NOT NULL DEFAULT 8,
    "wednesday" REAL NOT NULL DEFAULT 8,
    "thursday" REAL NOT NULL DEFAULT 8,
    "friday" REAL NOT NULL DEFAULT 8,
    "saturday" REAL NOT NULL DEFAULT 0,
    "sunday" REAL NOT NULL DEFAULT 0,
    "joinsOn" TEXT,
    "leavesOn" TEXT,
    "accountId" TEXT,
    "askSame" BOOLEAN NOT NULL DEFAULT false,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Hand_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Hand_accountId_fkey" FOREIGN KEY ("accountId") REFERENCES "Account" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Absence" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "handId" TEXT NOT NULL,
    "fromDate" TEXT NOT NULL,
    "toDate" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Absence_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Absence_handId_fkey" FOREIGN KEY ("handId") REFERENCES "Hand" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);

-- Hands were kept by trade and restoration: of those of one trade the largest line serves the whole workshop from now on,
-- on the days on which its restoration's calendar works. Who of them is one person is asked.
INSERT INTO "Hand" ("id", "workshopId", "name", "people", "trades", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "askSame")
SELECT "id", "workshopId", "trade" || CASE "people" WHEN 1 THEN ' hand' ELSE ' hands' END, "people", json_array("trade"),
    min("hoursPerDay", "monday"), min("hoursPerDay", "tuesday"), min("hoursPerDay", "wednesday"), min("hoursPerDay", "thursday"),
    min("hoursPerDay", "friday"), min("hoursPerDay", "saturday"), min("hoursPerDay", "sunday"), true
FROM (
    SELECT "Hands"."id", "workshopId", "trade", "people", "hoursPerDay",
        coalesce("monday", 8) AS "monday", coalesce("tuesday", 8) AS "tuesday", coalesce("wednesday", 8) AS "wednesday",
        coalesce("thursday", 8) AS "thursday", coalesce("friday", 8) AS "friday", coalesce("saturday", 0) AS "saturday",
        coalesce("sunday", 0) AS "sunday",
        row_number() OVER (PARTITION BY "workshopId", "trade" ORDER BY "people" DESC, "hoursPerDay" DESC, "Hands"."id") AS "place"
    FROM "Hands"
    JOIN "Restoration" ON "Restoration"."id" = "Hands"."restorationId"
    LEFT JOIN "ShopCalendar" ON "ShopCalendar"."restorationId" = "Hands"."restorationId"
    WHERE "people" > 0 AND "hoursPerDay" > 0
)
WHERE "place" = 1;

-- What is left of them is what an hour of the trade is charged at.
CREATE TABLE "TradeRate" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "trade" TEXT NOT NULL,
    "rateMinor" INTEGER,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "TradeRate_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "TradeRate" ("id", "restorationId", "trade", "rateMinor", "revision") SELECT "id", "restorationId", "trade", "rateMinor", "revision" FROM "Hands";
DROP TABLE "Hands";

-- CreateIndex
CREATE UNIQUE INDEX "TradeRate_restorationId_trade_key" ON "TradeRate"("restorationId", "trade");

-- CreateIndex
CREATE UNIQUE INDEX "Hand_accountId_key" ON "Hand"("accountId");

-- CreateIndex
CREATE UNIQUE INDEX "Hand_workshopId_name_key" ON "Hand"("workshopId", "name");

-- CreateIndex
CREATE INDEX "Absence_workshopId_idx" ON "Absence"("workshopId");

-- CreateIndex
CREATE UNIQUE INDEX "Absence_handId_fromDate_toDate_key" ON "Absence"("handId", "fromDate", "toDate");

-- What was changed before can still be read and taken back: the rows of a change name tables and fields.
UPDATE "Change" SET "rows" = (
    SELECT json_group_array(json(
        CASE json_extract("value", '$.table')
            WHEN 'hands' THEN json_remove(json_set("value", '$.table', 'tradeRate'),
                '$.before.people', '$.before.hoursPerDay', '$.after.people', '$.after.hoursPerDay')
            ELSE "value"
        END
    )) FROM json_each("Change"."rows")
)
WHERE "rows" LIKE '%"table":"hands"%';
