-- DropIndex
DROP INDEX "Account_email_key";

-- CreateIndex
CREATE INDEX "Account_email_idx" ON "Account"("email");

-- CreateIndex
CREATE UNIQUE INDEX "Account_workshopId_email_key" ON "Account"("workshopId", "email");
