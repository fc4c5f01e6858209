DROP TABLE alike_setting, alike_look, picture_pair, register_look, register_strike, register_event;
DROP FUNCTION look_apart, names_person;
DROP INDEX instrument_serial;
DROP TABLE register_kind, register;
DROP FUNCTION serial_key;
