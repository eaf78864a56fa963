-- What lists sort a code by: each number in it after the count of its digits, so that 2 comes before 10.
ALTER TABLE "Operation" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Invoice" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "OperationWay" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Part" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Supplier" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Quote" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Order" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Snag" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Remedy" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "ClubSource" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Want" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Spare" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Batch" ADD COLUMN "codeOrder" TEXT NOT NULL DEFAULT '';

UPDATE "Operation" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Operation"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Invoice" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Invoice"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "OperationWay" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "OperationWay"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Part" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Part"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Supplier" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Supplier"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Quote" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Quote"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Order" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Order"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Snag" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Snag"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Remedy" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Remedy"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "ClubSource" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "ClubSource"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Want" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Want"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Spare" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Spare"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);
UPDATE "Batch" SET "codeOrder" = (
    WITH RECURSIVE "step"("rest", "digits", "sorted") AS (
        SELECT "Batch"."code" || ' ', '', ''
        UNION ALL
        SELECT substr("rest", 2),
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN CASE "digits" WHEN '0' THEN '' ELSE "digits" END || substr("rest", 1, 1) ELSE '' END,
            CASE WHEN substr("rest", 1, 1) BETWEEN '0' AND '9' THEN "sorted"
                WHEN "digits" = '' THEN "sorted" || substr("rest", 1, 1)
                ELSE "sorted" || printf('%02d', length("digits")) || "digits" || substr("rest", 1, 1) END
        FROM "step" WHERE "rest" <> ''
    )
    SELECT substr("sorted", 1, length("sorted") - 1) FROM "step" WHERE "rest" = ''
);

-- CreateIndex
CREATE INDEX "ClubSource_clubId_codeOrder_idx" ON "ClubSource"("clubId", "codeOrder");

-- CreateIndex
CREATE INDEX "Want_clubId_codeOrder_idx" ON "Want"("clubId", "codeOrder");

-- CreateIndex
CREATE INDEX "Spare_clubId_codeOrder_idx" ON "Spare"("clubId", "codeOrder");

-- CreateIndex
CREATE INDEX "Batch_clubId_codeOrder_idx" ON "Batch"("clubId", "codeOrder");
