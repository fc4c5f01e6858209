// Converts by UCUM codes: takes [[from, to, value], …] as JSON on standard input and prints [value or message, …] as JSON.
import { readFileSync } from "node:fs";
import ucum from "@lhncbc/ucum-lhc";

const utils = ucum.UcumLhcUtils.getInstance();
const answers = JSON.parse(readFileSync(0, "utf8")).map(([from, to, value]) => {
  const answer = utils.convertUnitTo(from, value, to);
  return answer.status === "succeeded" ? answer.toVal : answer.msg.join(" ");
});
console.log(JSON.stringify(answers));
