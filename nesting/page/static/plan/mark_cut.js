// The hide marked cut in the register once it is cut; its offcuts go on the shelf.

import { send } from "../shell/api.js";
import { ask, say, trying } from "../shell/notice.js";

/** Ask, mark, and say what came of it; whether it is marked. `standing` is what the server told of the cutting;
 * `all` says that every piece was ticked off, also those of a product only begun. */
export async function markCut(result, standing, all = false) {
  const [hide] = result.layout.hides;
  const begun = result.answer.products.some((product) => product.next?.laid);
  const where = standing.in_register ? "It leaves the shelf" : `“${hide.name}” is not in the register; it is put there and marked cut`;
  const choices = begun && !all
    ? [["whole", "Whole products are cut"], ["begun", "Also the begun one"], ["", "Not yet"]]
    : [["whole", "Mark it cut"], ["", "Not yet"]];
  const sure = await ask("Mark this hide cut?", `${where}, and the offcuts worth keeping go onto the shelf. “Undo the last change” under Stock takes it back.`, choices);
  if (!sure) return false;
  const done = await trying(() => send("POST", `/api/runs/${result.id}/cut`, { add: !standing.in_register, begun: all || sure === "begun" }));
  if (!done) return false;
  say(`Marked cut; ${done.offcuts} ${done.offcuts === 1 ? "offcut" : "offcuts"} put on the shelf.`);
  return true;
}
