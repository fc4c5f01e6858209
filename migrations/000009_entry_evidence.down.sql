DROP TABLE evidence, entry;
