"use strict";
// The part of VS Code's API that the extension uses, kept in memory; then what a user would do. The
// answers go to standard output as JSON: `node vscode_stub.js EXTENSION PROGRAM FOLDER`.

const Module = require("module");
const fs = require("fs");
const path = require("path");
const { pathToFileURL, fileURLToPath } = require("url");

const [extension, program, folder] = process.argv.slice(2);
const handlers = {};
const providers = {};
const messages = [];
const published = new Map();

class Position { constructor(line, character) { Object.assign(this, { line, character }); } }
class Range { constructor(start, end) { Object.assign(this, { start, end }); } }
class Made { constructor(...values) { this.values = values; } }
const named = (...names) => class { constructor(...values) { names.forEach((name, n) => { this[name] = values[n]; }); } };
class WorkspaceEdit {
  constructor() { this.edits = []; }
  replace(uri, range, text) { this.edits.push({ uri, range, text }); }
}
const uri = (text) => ({ toString: () => text, fsPath: text.startsWith("file:") ? fileURLToPath(text) : text });
const on = (name) => (handler) => { handlers[name] = handler; return { dispose() {} }; };
const register = (name) => (selector, provider) => { providers[name] = provider; return { dispose() {} }; };
const documents = [];

const vscode = {
  Position, Range, WorkspaceEdit,
  Uri: { parse: uri },
  Diagnostic: named("range", "message", "severity"),
  DiagnosticRelatedInformation: named("location", "message"),
  Location: named("uri", "range"),
  Hover: named("contents", "range"),
  MarkdownString: named("value"),
  InlayHint: named("position", "label"),
  CodeLens: named("range", "command"),
  CodeAction: named("title", "kind"),
  CodeActionKind: { QuickFix: { value: "quickfix" }, SourceFixAll: { value: "source.fixAll" } },
  CompletionItem: named("label", "kind"),
  CompletionList: named("items", "isIncomplete"),
  DocumentSymbol: named("name", "detail", "kind", "range", "selectionRange"),
  FoldingRange: named("start", "end"),
  DocumentHighlight: named("range"),
  DocumentLink: named("range", "target"),
  TextEdit: { replace: (range, newText) => ({ range, newText }) },
  commands: { registerCommand: () => ({ dispose() {} }) },
  window: { showErrorMessage: (text) => messages.push(text), showInformationMessage: (text) => messages.push(text) },
  languages: {
    createDiagnosticCollection: () => ({
      set: (one, list) => published.set(one.toString(), list),
      clear: () => published.clear(),
      dispose() {},
    }),
    registerHoverProvider: register("hover"),
    registerInlayHintsProvider: register("inlay"),
    registerCodeLensProvider: register("lens"),
    registerCodeActionsProvider: register("actions"),
    registerCompletionItemProvider: register("completion"),
    registerDocumentSymbolProvider: register("symbols"),
    registerDocumentFormattingEditProvider: register("format"),
    registerFoldingRangeProvider: register("fold"),
    registerDefinitionProvider: register("definition"),
    registerDocumentHighlightProvider: register("highlight"),
    registerDocumentLinkProvider: register("links"),
  },
  workspace: {
    workspaceFolders: [{ uri: uri(pathToFileURL(folder).href), name: "labels" }],
    textDocuments: documents,
    getConfiguration: () => ({ get: (key) => ({ path: program, market: null })[key] }),
    createFileSystemWatcher: () => ({ onDidChange() {}, onDidCreate() {}, onDidDelete() {}, dispose() {} }),
    onDidOpenTextDocument: on("open"),
    onDidChangeTextDocument: on("change"),
    onDidSaveTextDocument: on("save"),
    onDidCloseTextDocument: on("close"),
    onDidChangeConfiguration: on("configuration"),
  },
};
const load = Module._load;
Module._load = (name, ...rest) => (name === "vscode" ? vscode : load(name, ...rest));

function opened(name) {
  const file = path.join(folder, name);
  const document = {
    uri: uri(pathToFileURL(file).href),
    languageId: "panel",
    version: 1,
    text: fs.readFileSync(file, "utf8"),
    getText() { return this.text; },
  };
  documents.push(document);
  return document;
}

async function until(holds) {
  const end = Date.now() + 60000;
  for (;;) {
    const found = holds();
    if (found) return found;
    if (Date.now() > end) throw new Error("waited in vain; messages: " + messages.join("; "));
    await new Promise((done) => setTimeout(done, 20));
  }
}

async function main() {
  const { activate, deactivate } = require(path.join(extension, "extension.js"));
  const document = opened("a b.panel");
  await activate({ subscriptions: [] });
  const misspelt = () => (published.get(document.uri.toString()) || []).find((one) => one.message.includes("flaxsed"));
  const first = await until(misspelt);
  const whole = new Range(new Position(0, 0), new Position(99, 0));
  const answer = { found: first.message, severity: first.severity, range: first.range };
  answer.hints = (await providers.inlay.provideInlayHints(document, whole, null)).map((one) => one.label);
  answer.lenses = (await providers.lens.provideCodeLenses(document, null)).map((one) => one.command.title);
  answer.hover = (await providers.hover.provideHover(document, first.range.start, null)).contents.value;
  const actions = await providers.actions.provideCodeActions(document, first.range, { only: undefined }, null);
  answer.actions = actions.map((one) => [one.title, one.kind.value]);
  const all = actions.find((one) => one.kind.value === "source.fixAll");
  answer.edits = all.edit.edits.map((one) => one.text);
  answer.symbols = (await providers.symbols.provideDocumentSymbols(document, null)).map((one) => one.name);
  answer.folds = await providers.fold.provideFoldingRanges(document, {}, null);
  answer.highlights = (await providers.highlight.provideDocumentHighlights(document, new Position(1, 14), null)).length;
  answer.completion = (await providers.completion.provideCompletionItems(document, new Position(1, 35), null)).items.length;
  document.text = document.text.replace("flaxsed", "flaxseed");
  document.version = 2;
  handlers.change({ document });
  await until(() => !misspelt());
  answer.messages = messages;
  await deactivate();
  process.stdout.write(JSON.stringify(answer));
}

main().catch((error) => {
  process.stderr.write(`${error.stack}\n`);
  process.exit(1);
});
