package quantity_test

import (
	"testing"

	"witnessmark/internal/quantity"
)

// plainTexts are typed lines without look-alike characters to replace: reading them allocates nothing.
var plainTexts = []string{
	"23.4", "23.4 kW", "5 kW", "12.4 L/min", "0.28 kJ/(kg·K)", "4.19 kJ/kg°C", "0.3 W/m²K", "1,250 W", "1 250 W", "1.2×10^3 Pa", "1.2e3 Pa", ">200 MΩ",
	"1.5 bar(g)", "0.9 barg", "2 1/2 in", "½\"", "1/2 in", "-3 °C", "3.5 m³/h", "75 %", "OL", "22mm", "0.54 cu ft",
}

func TestReadingAllocatesNothing(t *testing.T) {
	for _, text := range plainTexts {
		allocs := testing.AllocsPerRun(100, func() {
			if q, err := quantity.ParseQuantity(text); err != nil || q.SI() < -1e9 {
				t.Fatal(q, err)
			}
		})
		if allocs != 0 {
			t.Errorf("%q: %v allocations, want none", text, allocs)
		}
	}
}

func BenchmarkParseQuantity(b *testing.B) {
	for _, text := range plainTexts {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := quantity.ParseQuantity(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
