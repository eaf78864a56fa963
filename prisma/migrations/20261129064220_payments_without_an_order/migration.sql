-- RedefineTables
PRAGMA defer_foreign_keys=ON;
PRAGMA foreign_keys=OFF;
CREATE TABLE "new_Payment" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "orderId" TEXT,
    "wayId" TEXT,
    "remedyId" TEXT,
    "kind" TEXT NOT NULL,
    "paidOn" TEXT NOT NULL,
    "amountMinor" INTEGER NOT NULL,
    "currency" TEXT NOT NULL,
    "rate" TEXT,
    "correctsId" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Payment_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "Payment_orderId_fkey" FOREIGN KEY ("orderId") REFERENCES "Order" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Payment_wayId_fkey" FOREIGN KEY ("wayId") REFERENCES "OperationWay" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Payment_remedyId_fkey" FOREIGN KEY ("remedyId") REFERENCES "Remedy" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Payment_correctsId_fkey" FOREIGN KEY ("correctsId") REFERENCES "Payment" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);
INSERT INTO "new_Payment" ("amountMinor", "correctsId", "currency", "id", "kind", "notes", "orderId", "paidOn", "rate", "revision", "restorationId") SELECT "amountMinor", "correctsId", "currency", "id", "kind", "notes", "orderId", "paidOn", "rate", "revision", (SELECT "restorationId" FROM "Order" WHERE "Order"."id" = "Payment"."orderId") FROM "Payment";
DROP TABLE "Payment";
ALTER TABLE "new_Payment" RENAME TO "Payment";
CREATE UNIQUE INDEX "Payment_correctsId_key" ON "Payment"("correctsId");
CREATE INDEX "Payment_restorationId_idx" ON "Payment"("restorationId");
CREATE INDEX "Payment_orderId_idx" ON "Payment"("orderId");
CREATE INDEX "Payment_wayId_idx" ON "Payment"("wayId");
CREATE INDEX "Payment_remedyId_idx" ON "Payment"("remedyId");
PRAGMA foreign_keys=ON;
PRAGMA defer_foreign_keys=OFF;
