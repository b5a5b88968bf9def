// What each user comes for, by a client whose types come from the description alone. Called with the server's address
// and a file that holds what to send; says "done" at the end, or fails with the claim that does not hold.
import { readFileSync } from "node:fs";
import createClient from "openapi-fetch";
import type { components, paths } from "./api.js";

type Schemas = components["schemas"];
interface Sent {
  catalogue: Schemas["Catalogue"];
  points: Schemas["SplicePoint"][];
  ferrow: Schemas["PlanRequest"];
  faulty: Schemas["PlanRequest"];
  pointers: string[];
  drop: Schemas["AdditionRequest"];
  measured: Schemas["SpliceRecordsRequest"];
}

const [address = "", file = ""] = process.argv.slice(2);
const sent = JSON.parse(readFileSync(file, "utf-8")) as Sent;
const api = createClient<paths>({ baseUrl: address });

function holds(condition: boolean, claim: string): asserts condition {
  if (!condition) throw new Error(claim);
}

function found<T>(value: T | undefined, claim: string): T {
  if (value === undefined) throw new Error(claim);
  return value;
}

async function loadsACatalogue(): Promise<void> {
  const { response } = await api.PUT("/v1/catalogue", {
    params: { header: { "If-None-Match": "*" } },
    body: sent.catalogue,
  });
  holds(response.status === 200, "the catalogue is taken");
  const codes: string[] = [];
  let cursor: string | null = null;
  do {
    const query: { limit: number; cursor?: string } = cursor === null ? { limit: 3 } : { limit: 3, cursor };
    const page = found((await api.GET("/v1/closures", { params: { query } })).data, "a page of closures");
    codes.push(...page.items.map((closure) => closure.code));
    cursor = page.next;
  } while (cursor !== null);
  holds(codes.length === sent.catalogue.closures?.length, "every closure is on one of the pages");
}

async function sendsFiles(): Promise<void> {
  const workbook = await api.GET("/v1/catalogue.xlsx", { parseAs: "arrayBuffer" });
  const type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";
  // The description's bytes are text to the types, and go as they are.
  const same = await api.POST("/v1/catalogue.xlsx", {
    body: found(workbook.data, "the catalogue as a workbook") as unknown as string,
    bodySerializer: (body) => body,
    headers: { "Content-Type": type },
  });
  holds(found(same.data, "the workbook is taken").changed.length === 0, "what was given out changes nothing");
  const wrong = await api.POST("/v1/catalogue.csv", {
    params: { query: { section: "sleeves", check: true } },
    body: "code;price\r\nrs-12;cheap\r\n",
    bodySerializer: (body) => body,
    headers: { "Content-Type": "text/csv" },
  });
  const [fault] = wrong.error?.errors ?? [];
  holds(fault?.row === 2 && fault.column === "B" && fault.heading === "price", "the fault is told by its cell");
}

async function plansASplicePoint(): Promise<string> {
  const check = found((await api.POST("/v1/fit-checks", { body: sent.ferrow })).data, "a verdict");
  holds(check.fits, "the splice point fits");
  const { data, response } = await api.POST("/v1/plans", { body: sent.ferrow });
  const plan = found(data, "a plan");
  holds(response.status === 201 && "id" in plan && plan.fits, "the plan is stored");
  holds(plan.proof?.optimal === true, "the plan is proven best");
  const path = { id: plan.id };
  const again = await api.GET("/v1/plans/{id}", {
    params: { path, header: { "If-None-Match": response.headers.get("ETag") ?? "" } },
    parseAs: "text",
  });
  holds(again.response.status === 304, "it has not changed since");
  const drawing = await api.GET("/v1/plans/{id}/drawing.svg", { params: { path }, parseAs: "text" });
  holds(found(drawing.data, "a drawing").startsWith("<svg"), "the drawing is a drawing");
  return plan.id;
}

async function sendsABuild(): Promise<string> {
  const begun = await api.POST("/v1/takeoffs", {
    body: { name: "Ferrowmouth", splice_points: sent.points },
  });
  const { id } = found(begun.data, "the takeoff is received");
  const params = { path: { id } };
  for (let asked = 0; asked < 600; asked += 1) {
    const takeoff = found((await api.GET("/v1/takeoffs/{id}", { params })).data, "the takeoff");
    if (takeoff.state === "finished") {
      holds(takeoff.points.done === sent.points.length, "every splice point is done");
      const { data } = await api.GET("/v1/takeoffs/{id}/plans", {
        params: { path: { id }, query: { whole: false, limit: 500 } },
      });
      holds(typeof data === "object", "the results are a page");
      holds(data.items.length === sent.points.length, "every splice point is in the results");
      return id;
    }
    await new Promise((resume) => setTimeout(resume, 100));
  }
  throw new Error("after a minute the takeoff is not finished");
}

async function ordersIt(takeoff: string): Promise<void> {
  const made = await api.POST("/v1/orders", { body: { takeoffs: [takeoff] } });
  const order = found(made.data, "an order");
  holds(order.lines.length > 0, "the order has lines");
  const params = { path: { id: order.id } };
  const state = await api.GET("/v1/orders/{id}/state", { params });
  const placed = await api.PUT("/v1/orders/{id}/state", {
    params: { ...params, header: { "If-Match": state.response.headers.get("ETag") ?? "" } },
    body: { state: "placed" },
  });
  holds(placed.data?.state === "placed", "the order is placed");
}

async function hangsIt(plan: string): Promise<void> {
  const hung = await api.POST("/v1/installations", { body: { plan } });
  const { id } = found(hung.data, "the closure hangs");
  const added = await api.POST("/v1/installations/{id}/additions", {
    params: {
      path: { id },
      query: { apply: true },
      header: { "If-Match": hung.response.headers.get("ETag") ?? "" },
    },
    body: sent.drop,
  });
  holds(added.response.status === 201 && added.data?.fits === true, "the addition is recorded");
  const measured = await api.POST("/v1/installations/{id}/splice-records", {
    params: { path: { id } },
    body: sent.measured,
  });
  holds(measured.data?.recorded === sent.measured.records.length, "what was measured is kept");
}

async function isToldWhatIsWrong(): Promise<void> {
  const { error } = await api.POST("/v1/plans", { body: sent.faulty });
  const pointers = (error?.errors ?? []).map((fault) => fault.pointer ?? "").sort();
  holds(JSON.stringify(pointers) === JSON.stringify(sent.pointers), `every fault has its place, not ${pointers}`);
  const header = { "Idempotency-Key": "ferrow-7" };
  const first = await api.POST("/v1/plans", { params: { header }, body: sent.ferrow });
  const second = await api.POST("/v1/plans", { params: { header }, body: sent.ferrow });
  holds(JSON.stringify(first.data) === JSON.stringify(second.data), "sent twice, kept once");
  holds(second.response.headers.get("Idempotent-Replayed") === "true", "the second answer says so");
  const path = { code: "dome-48" };
  const { data, response } = await api.GET("/v1/closures/{code}", { params: { path } });
  const closure = found(data, "a closure");
  const tag = { "If-Match": response.headers.get("ETag") ?? "" };
  const write = (title: string) =>
    api.PUT("/v1/closures/{code}", { params: { path, header: tag }, body: { ...closure, title } });
  holds((await write("First")).response.status === 200, "the first one writes");
  const stale = await write("Second");
  holds(stale.response.status === 412 && stale.error?.type === "/problems/stale", "the second is told that it is stale");
}

async function makesTokens(): Promise<void> {
  const made = await api.POST("/v1/tokens", { body: { name: "Office", scopes: ["admin"] } });
  const { token } = found(made.data, "a token is made");
  holds((await api.GET("/v1/plans")).response.status === 401, "without it nothing is told from then on");
  const signedIn = createClient<paths>({ baseUrl: address, headers: { Authorization: `Bearer ${token}` } });
  holds((await signedIn.GET("/v1/plans")).response.status === 200, "with it the plans are there");
}

await loadsACatalogue();
await sendsFiles();
const plan = await plansASplicePoint();
await ordersIt(await sendsABuild());
await hangsIt(plan);
await isToldWhatIsWrong();
await makesTokens();
console.log("done");
