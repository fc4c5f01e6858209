// Reads one line of working as mathjs does: for each number on standard input it reads and evaluates the line that many
// times, every side of its equals sign to its value in the unit of the result, and prints a line when done.
import { createInterface } from "node:readline";
import { all, create } from "mathjs";

const math = create(all);
const sides = ["12.4 L/minute * 0.988 kg/L * 4.18 kJ/(kg K) * (69.8 - 51.3) K", "15.8 kW"];
let last = [];
for await (const line of createInterface({ input: process.stdin })) {
  for (let n = Number(line); n > 0; n--) {
    last = sides.map((side) => math.evaluate(side).toNumber("kW"));
  }
  console.log(last.join(" "));
}
