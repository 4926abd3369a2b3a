import { isAbsolute } from "node:path";
import { pathToFileURL } from "node:url";
import type { Log, Notification, PhysicalLocation, ReportingDescriptor, Result } from "sarif";
import { version } from "../../../package.json";
import type { Severity } from "../../../shared/rules/define.ts";
import type { HouseRulePage } from "../../../shared/rules/house.ts";
import { rules as builtIn } from "../../../shared/rules/registry.ts";
import type { CheckedFile, CheckedFinding, CheckedProblem, PlacedRange } from "./checked.ts";
import type { CheckReport } from "./checkReport.ts";

const levels = { error: "error", warning: "warning", info: "note" } as const satisfies Record<
  Severity,
  string
>;

const schema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/**
 * Findings as SARIF, and what could not be read as notifications of the tool.
 * Source: OASIS, "Static Analysis Results Interchange Format (SARIF) Version 2.1.0".
 */
export class SarifReport implements CheckReport {
  readonly #notifications: Notification[] = [];
  readonly #rules: readonly HouseRulePage[];
  #failed = false;
  #any = false;

  constructor(houseRules: readonly HouseRulePage[] = []) {
    this.#rules = [...builtIn, ...houseRules];
  }

  begin(): string {
    const driver = {
      name: "Placewright",
      version,
      semanticVersion: version,
      rules: this.#rules.map(descriptorOf),
    };
    const start = {
      $schema: schema,
      version: "2.1.0",
      runs: [{ tool: { driver }, columnKind: "utf16CodeUnits", results: [] }],
    } satisfies Log;
    // All but the end: results follow one by one.
    return JSON.stringify(start, null, 2).replace(/\]\s*\}\s*\]\s*\}\s*$/, "");
  }

  file(file: CheckedFile): string {
    for (const problem of file.problems) {
      this.#failed ||= problem.severity === "error";
      this.#notifications.push(notificationOf(file.path, problem));
    }
    return file.findings.map((finding) => this.#entry(this.#resultOf(file.path, finding))).join("");
  }

  end(): string {
    const invocation = {
      executionSuccessful: !this.#failed,
      toolExecutionNotifications: this.#notifications,
    };
    const invocations = JSON.stringify([invocation], null, 2).replace(/\n/g, "\n      ");
    return `${this.#any ? "\n      " : ""}],\n      "invocations": ${invocations}\n    }\n  ]\n}\n`;
  }

  #resultOf(path: string, finding: CheckedFinding): Result {
    const ruleIndex = this.#rules.findIndex(({ id }) => id === finding.rule);
    return resultOf(path, finding, ruleIndex);
  }

  #entry(result: Result): string {
    const comma = this.#any ? "," : "";
    this.#any = true;
    return `${comma}\n${JSON.stringify(result, null, 2).replace(/^/gm, "        ")}`;
  }
}

function resultOf(path: string, finding: CheckedFinding, ruleIndex: number): Result {
  const { rule, severity, message, part, hand, bar, beat, range, related, place } = finding;
  const names = [part, hand && `${hand} hand`, bar && `bar ${bar}`, beat && `beat ${beat}`];
  const name = names.filter((each) => each !== undefined && each !== "").join(", ");
  return {
    ruleId: rule,
    ruleIndex,
    level: levels[severity],
    message: { text: message },
    locations: [
      {
        physicalLocation: physicalLocation(path, range),
        ...(name === "" ? {} : { logicalLocations: [{ fullyQualifiedName: name }] }),
      },
    ],
    ...(related.length === 0
      ? {}
      : {
          relatedLocations: related.map((other) => ({
            physicalLocation: physicalLocation(path, other.range),
            message: { text: other.message },
          })),
        }),
    partialFingerprints: { "place/v1": place },
  };
}

function descriptorOf({ id, severity, summary, why }: HouseRulePage): ReportingDescriptor {
  return {
    id,
    shortDescription: { text: summary },
    fullDescription: { text: why },
    help: { text: `${why} More: placewright rules ${id}` },
    defaultConfiguration: { level: levels[severity] },
  };
}

function notificationOf(path: string, { severity, message, range, about }: CheckedProblem): Notification {
  return {
    level: levels[severity],
    message: { text: message },
    locations: [{ physicalLocation: physicalLocation(path, range) }],
    descriptor: { id: about ?? "reading" },
  };
}

function physicalLocation(path: string, { start, end }: PlacedRange): PhysicalLocation {
  return {
    artifactLocation: { uri: uriOf(path) },
    region: { startLine: start.line, startColumn: start.column, endLine: end.line, endColumn: end.column },
  };
}

/** Relative paths stay so: whoever reads the report knows what they start from. */
function uriOf(path: string): string {
  if (isAbsolute(path)) return pathToFileURL(path).href;
  return path.replaceAll("\\", "/").split("/").map(encodeURIComponent).join("/");
}
