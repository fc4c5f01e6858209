package formula

// LogTable and PowerTable are the tables of power, a row each.
func LogTable() (rows [][3]float64) {
	for _, e := range logTable {
		rows = append(rows, [3]float64{e.inverse, e.log, e.low})
	}
	return rows
}

func PowerTable() (rows [][2]float64) {
	for _, e := range powerTable {
		rows = append(rows, [2]float64{e.value, e.low})
	}
	return rows
}
