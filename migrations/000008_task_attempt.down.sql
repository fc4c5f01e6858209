DROP TABLE attempt, task;
