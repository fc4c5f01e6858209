DROP TABLE link, session;
