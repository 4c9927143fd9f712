// The words of a result, as the commands print them: the verdict first, then what
// it rests on, each under its key.

import { h, put } from "./dom.js";
import { shapeOf } from "./ruler.js";

/** answerWords makes the two parts; show fills them with lines of {key, text}. */
export function answerWords() {
  const verdict = h("p", { class: "verdict" });
  const rest = h("dl", { class: "answer" });
  return {
    verdict, rest,
    show([first, ...lines]) {
      put(verdict, first && [shapeOf(first.key), h("span", {}, h("b", {}, first.key), ` ${first.text}`)]);
      put(rest, lines.map((line, i) => [line.key && line.key !== lines[i - 1]?.key && h("dt", {}, line.key), h("dd", {}, line.text)]));
    },
  };
}
