-- Several machines of one workshop had calendars of their own: the plans of all of them may be others now.
UPDATE "Restoration" SET "planRevision" = "planRevision" + 1
WHERE "workshopId" IN (SELECT "workshopId" FROM "Restoration" GROUP BY "workshopId" HAVING count(*) > 1);

-- When the shop works was kept by restoration, and it was open as long as on any of them: of each weekday the longest hours
-- serve the whole workshop from now on, and figures are for the day of the first by rank.
CREATE TABLE "new_ShopCalendar" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "monday" REAL NOT NULL DEFAULT 8,
    "tuesday" REAL NOT NULL DEFAULT 8,
    "wednesday" REAL NOT NULL DEFAULT 8,
    "thursday" REAL NOT NULL DEFAULT 8,
    "friday" REAL NOT NULL DEFAULT 8,
    "saturday" REAL NOT NULL DEFAULT 0,
    "sunday" REAL NOT NULL DEFAULT 0,
    "figuresFor" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ShopCalendar_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_ShopCalendar" ("id", "workshopId", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "figuresFor", "revision")
SELECT "id", "workshopId", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "figuresFor", "revision"
FROM (
    SELECT coalesce("ShopCalendar"."id", 'calendar of ' || "Restoration"."id") AS "id", "workshopId", "figuresFor",
        max(coalesce("monday", 8)) OVER "shop" AS "monday",
        max(coalesce("tuesday", 8)) OVER "shop" AS "tuesday",
        max(coalesce("wednesday", 8)) OVER "shop" AS "wednesday",
        max(coalesce("thursday", 8)) OVER "shop" AS "thursday",
        max(coalesce("friday", 8)) OVER "shop" AS "friday",
        max(coalesce("saturday", 0)) OVER "shop" AS "saturday",
        max(coalesce("sunday", 0)) OVER "shop" AS "sunday",
        max(coalesce("ShopCalendar"."revision", 0)) OVER "shop" + 1 AS "revision",
        row_number() OVER (PARTITION BY "workshopId" ORDER BY "rank", "machine", "Restoration"."id") AS "place"
    FROM "Restoration"
    LEFT JOIN "ShopCalendar" ON "ShopCalendar"."restorationId" = "Restoration"."id"
    WINDOW "shop" AS (PARTITION BY "workshopId")
)
WHERE "place" = 1;
DROP TABLE "ShopCalendar";
ALTER TABLE "new_ShopCalendar" RENAME TO "ShopCalendar";
CREATE UNIQUE INDEX "ShopCalendar_workshopId_key" ON "ShopCalendar"("workshopId");

-- A day on which it was closed for one machine it was closed for all: each once, with every reason that was given.
CREATE TABLE "new_ClosedDate" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "workshopId" TEXT NOT NULL,
    "date" TEXT NOT NULL,
    "reason" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "ClosedDate_workshopId_fkey" FOREIGN KEY ("workshopId") REFERENCES "Workshop" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "new_ClosedDate" ("id", "workshopId", "date", "reason", "revision")
WITH "each" AS (
    SELECT "ClosedDate"."id", "workshopId", "date", "reason", "ClosedDate"."revision",
        row_number() OVER (PARTITION BY "workshopId", "date" ORDER BY "rank", "machine", "Restoration"."id") AS "place",
        row_number() OVER (PARTITION BY "workshopId", "date", trim("reason") ORDER BY "rank", "machine", "Restoration"."id") AS "said"
    FROM "ClosedDate" JOIN "Restoration" ON "Restoration"."id" = "ClosedDate"."restorationId"
)
SELECT "id", "workshopId", "date", (
        SELECT coalesce(substr(group_concat("reason", '; '), 1, 200), '') FROM (
            SELECT trim("reason") AS "reason" FROM "each" AS "other"
            WHERE "other"."workshopId" = "each"."workshopId" AND "other"."date" = "each"."date" AND "said" = 1 AND trim("reason") <> ''
            ORDER BY "place"
        )
    ), "revision"
FROM "each" WHERE "place" = 1;
DROP TABLE "ClosedDate";
ALTER TABLE "new_ClosedDate" RENAME TO "ClosedDate";
CREATE UNIQUE INDEX "ClosedDate_workshopId_date_key" ON "ClosedDate"("workshopId", "date");

ALTER TABLE "Restoration" DROP COLUMN "figuresFor";

-- What was changed before can still be read and taken back: the rows of a change name fields. Of a change of the day that one
-- restoration's figures were for nothing is left, and a restoration that was removed comes back without a calendar.
UPDATE "Change" SET "summary" = "summary" || ', whose figures are for the workshop''s day now: nothing is left to take back'
WHERE "rows" LIKE '%"figuresFor"%' AND json_array_length("rows") = 1
    AND json_extract("rows", '$[0].table') = 'restoration'
    AND json_extract("rows", '$[0].before.figuresFor') IS NOT json_extract("rows", '$[0].after.figuresFor')
    AND json_remove(json_extract("rows", '$[0].before'), '$.revision', '$.planRevision', '$.figuresFor')
        = json_remove(json_extract("rows", '$[0].after'), '$.revision', '$.planRevision', '$.figuresFor');

UPDATE "Change" SET "rows" = (
    SELECT json_group_array(json(
        CASE json_extract("value", '$.table')
            WHEN 'restoration' THEN json_remove("value", '$.before.figuresFor', '$.after.figuresFor')
            WHEN 'shopCalendar' THEN "ofWorkshop"
            WHEN 'closedDate' THEN "ofWorkshop"
            ELSE "value"
        END
    ))
    FROM (
        SELECT "value", json_remove(
            json_set("value", '$.before.workshopId', "workshopId", '$.after.workshopId', "workshopId"),
            '$.before.restorationId', '$.after.restorationId'
        ) AS "ofWorkshop"
        FROM json_each("Change"."rows"), "Restoration"
        WHERE "Restoration"."id" = "Change"."restorationId"
            AND NOT (
                json_extract("value", '$.table') IN ('shopCalendar', 'closedDate')
                AND coalesce(json_extract("value", '$.before.restorationId'), json_extract("value", '$.after.restorationId')) NOT IN (SELECT "id" FROM "Restoration")
            )
    )
)
WHERE "rows" LIKE '%"table":"restoration"%' OR "rows" LIKE '%"table":"shopCalendar"%' OR "rows" LIKE '%"table":"closedDate"%';
