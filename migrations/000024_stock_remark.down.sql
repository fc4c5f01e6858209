DROP TABLE stock_remark;
