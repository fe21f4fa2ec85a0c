// Takes out of the lock file what pins nothing: where to pay its authors, of whom the packages themselves tell.
import fs from "node:fs";

const file = new URL("package-lock.json", import.meta.url);
const lock = JSON.parse(fs.readFileSync(file, "utf8"));
for (const held of Object.values(lock.packages)) delete held.funding;
fs.writeFileSync(file, `${JSON.stringify(lock, null, 2)}\n`);
