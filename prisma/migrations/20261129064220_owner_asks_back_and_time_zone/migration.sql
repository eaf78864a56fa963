-- AlterTable
ALTER TABLE "Workshop" ADD COLUMN "timeZone" TEXT;

-- CreateTable
CREATE TABLE "DecisionQuestion" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "restorationId" TEXT NOT NULL,
    "decisionId" TEXT NOT NULL,
    "question" TEXT NOT NULL,
    "askedAt" DATETIME NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "askedById" TEXT NOT NULL,
    "askedAs" TEXT NOT NULL,
    "answer" TEXT NOT NULL DEFAULT '',
    "answeredAt" DATETIME,
    "answeredById" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "DecisionQuestion_restorationId_fkey" FOREIGN KEY ("restorationId") REFERENCES "Restoration" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "DecisionQuestion_decisionId_fkey" FOREIGN KEY ("decisionId") REFERENCES "Decision" ("id") ON DELETE CASCADE ON UPDATE CASCADE,
    CONSTRAINT "DecisionQuestion_askedById_fkey" FOREIGN KEY ("askedById") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "DecisionQuestion_answeredById_fkey" FOREIGN KEY ("answeredById") REFERENCES "Account" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateIndex
CREATE INDEX "DecisionQuestion_restorationId_idx" ON "DecisionQuestion"("restorationId");

-- CreateIndex
CREATE INDEX "DecisionQuestion_decisionId_idx" ON "DecisionQuestion"("decisionId");
