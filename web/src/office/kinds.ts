// The shapes of the server's answers by short names; made from `crates/office/openapi.json`.

import type { Plan, Reading } from "./schema";

export type * from "./schema";
export type Layer = Plan["pieces"][number]["layer"];
export type Region = Reading["regions"][number];
export type Row = Reading["rows"][number];
export type Severity = Plan["findings"][number]["severity"];
