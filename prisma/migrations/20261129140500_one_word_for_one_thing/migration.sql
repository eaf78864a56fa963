-- One word for one thing: the rows stay as they are, under the names of today.
ALTER TABLE "Restoration" RENAME COLUMN "dataDate" TO "figuresFor";
ALTER TABLE "Club" RENAME COLUMN "dataDate" TO "figuresFor";
ALTER TABLE "Operation" RENAME COLUMN "hoursLow" TO "hoursLeast";
ALTER TABLE "Operation" RENAME COLUMN "hoursHigh" TO "hoursMost";
ALTER TABLE "Part" RENAME COLUMN "locked" TO "kept";
ALTER TABLE "Quote" RENAME COLUMN "banned" TO "ruledOut";
ALTER TABLE "Quote" RENAME COLUMN "freightMinor" TO "carriageMinor";
ALTER TABLE "Quote" RENAME COLUMN "pointsAtRisk" TO "pointsByHand";
ALTER TABLE "Quote" RENAME COLUMN "leadLow" TO "leadLeast";
ALTER TABLE "Quote" RENAME COLUMN "leadHigh" TO "leadMost";

-- CreateTable
CREATE TABLE "RuledOut" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "partId" TEXT NOT NULL,
    "provenance" TEXT NOT NULL,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "RuledOut_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE CASCADE ON UPDATE CASCADE
);
INSERT INTO "RuledOut" ("id", "partId", "provenance", "revision") SELECT "id", "partId", "provenance", "revision" FROM "PartBan";
DROP TABLE "PartBan";

-- CreateIndex
CREATE UNIQUE INDEX "RuledOut_partId_provenance_key" ON "RuledOut"("partId", "provenance");

-- What was changed before can still be read and taken back: the rows of a change name tables and fields.
UPDATE "Change" SET "rows" = replace(replace(replace(replace(replace(replace(replace(replace(replace(replace("rows",
    '"dataDate":', '"figuresFor":'),
    '"hoursLow":', '"hoursLeast":'),
    '"hoursHigh":', '"hoursMost":'),
    '"locked":', '"kept":'),
    '"banned":', '"ruledOut":'),
    '"freightMinor":', '"carriageMinor":'),
    '"pointsAtRisk":', '"pointsByHand":'),
    '"leadLow":', '"leadLeast":'),
    '"leadHigh":', '"leadMost":'),
    '"table":"partBan"', '"table":"ruledOut"');
UPDATE "ClubChange" SET "rows" = replace("rows", '"dataDate":', '"figuresFor":');
