ALTER TABLE evidence ADD COLUMN before_release boolean NOT NULL DEFAULT false;
DROP TABLE spot_release, spot_claim, hold_code, seal_item, seal;
