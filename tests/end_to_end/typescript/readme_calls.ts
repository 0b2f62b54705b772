// README's calls, made by a client whose types come from the service's own document.
import createClient from "openapi-fetch";
import type { paths } from "./formhold.js";

declare const process: { argv: string[] };

const formhold = createClient<paths>({ baseUrl: process.argv[2] });

const { data: outcome, error } = await formhold.POST("/v1/reformulations", {
  body: {
    recipe: { lines: [{ text: "3 1/2 cups all-purpose flour" }, { text: "1 cup (227 g) unsalted butter" }] },
    window: { flour_to_fat: { min: 2.1, max: 2.4 } },
    limits: { max_flour_change_percent: 15 },
  },
});
if (outcome === undefined) throw new Error(`${error.title}: ${error.detail}`);
const moved = outcome.lines?.filter((line) => line.moved).map((line) => line.after?.measure);

const catalogue = await formhold.POST("/v1/catalogues", { body: { title: "Wickhollow" } });
const imported = await formhold.POST("/v1/catalogues/{catalogue_id}/import", {
  params: { path: { catalogue_id: catalogue.data!.id } },
  body: "recipe,line\nreed,300 g flour\nreed,150 g butter\n",
  bodySerializer: (text) => text as string,
  headers: { "Content-Type": "text/csv" },
});
const run = await formhold.POST("/v1/runs", {
  body: { catalogue_id: catalogue.data!.id, window: { flour_to_fat: { min: 2.1 } } },
});
const followed = await formhold.GET("/v1/runs/{run_id}", {
  params: { path: { run_id: run.data!.id } },
});
const refused = await formhold.POST("/v1/reformulations", {
  body: { recipe: { lines: [{ text: "300 g flour" }] } },
});

console.log(
  JSON.stringify([
    outcome.outcome,
    moved,
    imported.data?.created,
    followed.data?.total,
    refused.error?.status,
  ]),
);
