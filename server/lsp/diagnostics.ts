import { type Diagnostic, DiagnosticSeverity } from "vscode-languageserver/node";
import { gather } from "../../shared/rules/gather.ts";
import type { Problem } from "../../shared/text/problem.ts";
import type { ClientFeatures } from "./features.ts";
import type { OpenDocument } from "./state.ts";
import type { Found } from "./threadWork.ts";

/** Says in the editor's lists who found it. */
export const diagnosticSource = "placewright";

/** Stands where a finding has its rule's id: the text could not be read as it should be. */
export const problemCode = "not-readable";

const severities = {
  error: DiagnosticSeverity.Error,
  warning: DiagnosticSeverity.Warning,
  info: DiagnosticSeverity.Information,
} as const;

/** All that was found in a document, gathered as it is shown; nothing when it is no MusicXML. */
export function foundIn({ analysis }: OpenDocument): Found {
  if (!analysis) return { problems: [], findings: [], unmatched: [] };
  const { problems, findings, unmatched } = analysis;
  return { problems, findings: gather(findings), unmatched };
}

/** The same for an editor. */
export function diagnosticsOf(document: OpenDocument, features: ClientFeatures): Diagnostic[] {
  return diagnosticsFrom(document, foundIn(document), features);
}

/** The same from what was found in the document's present text elsewhere, gathered as it is shown. */
export function diagnosticsFrom(
  document: OpenDocument,
  { problems, findings }: Found,
  features: ClientFeatures,
): Diagnostic[] {
  return [
    ...problems.map((problem) => problemDiagnostic(document, problem)),
    ...findings.map((finding) => findingDiagnostic(document, finding, features)),
  ];
}

export function findingDiagnostic(
  document: OpenDocument,
  finding: Found["findings"][number],
  features: ClientFeatures,
): Diagnostic {
  const diagnostic: Diagnostic = {
    range: document.convert.range(finding.span),
    severity: severities[finding.severity],
    source: diagnosticSource,
    code: finding.rule,
    message: finding.message,
  };
  if (features.relatedInformation && finding.related.length > 0) {
    diagnostic.relatedInformation = finding.related.map(({ span, message }) => ({
      location: { uri: document.uri, range: document.convert.range(span) },
      message,
    }));
  }
  return diagnostic;
}

function problemDiagnostic(document: OpenDocument, problem: Problem): Diagnostic {
  return {
    range: document.convert.range(problem.span),
    severity: severities[problem.severity],
    source: diagnosticSource,
    code: problemCode,
    message: problem.message,
  };
}
