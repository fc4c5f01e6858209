// Works out expressions: takes {names: [[name, expression], …], texts: [expression, …]} as JSON on standard input and
// prints [[value in SI base units, exponents of kg m s A K cd mol], …], or a message instead of a pair, as JSON.
import { readFileSync } from "node:fs";
import { all, create } from "mathjs";

const math = create(all);
const { names, texts } = JSON.parse(readFileSync(0, "utf8"));
const scope = Object.fromEntries(names.map(([name, text]) => [name, math.evaluate(text)]));
const answers = texts.map((text) => {
  try {
    const answer = math.evaluate(text, { ...scope });
    return math.isUnit(answer) ? [answer.value, answer.dimensions.slice(0, 7)] : [answer, [0, 0, 0, 0, 0, 0, 0]];
  } catch (error) {
    return error.message;
  }
});
console.log(JSON.stringify(answers));
