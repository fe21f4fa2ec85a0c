// Before all tests: an empty folder, and every model's report, allocation and plan written once for all of them.
import fs from "node:fs";

import { allocation, folder, models, plan, report } from "./lib/program.mjs";

fs.rmSync(folder("."), { recursive: true });
for (const sketch of models()) {
  report(sketch);
  allocation(sketch);
  plan(sketch);
}
