"use strict";
// A thin client: what the editor asks is passed to `panellint serve`, what it answers is shown.

const vscode = require("vscode");
const { Connection } = require("./connection");

const SELECTOR = { language: "panel" };
const CAPABILITIES = {
  textDocument: {
    publishDiagnostics: { relatedInformation: true, tagSupport: { valueSet: [1, 2] }, codeDescriptionSupport: true, dataSupport: true },
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ["quickfix", "source.fixAll"] } } },
  },
  workspace: { didChangeWatchedFiles: { dynamicRegistration: false } },
};

let connection = null;
let diagnostics = null;

function activate(context) {
  diagnostics = vscode.languages.createDiagnosticCollection("panellint");
  context.subscriptions.push(diagnostics, vscode.commands.registerCommand("panellint.restart", restart));
  const watched = vscode.workspace.createFileSystemWatcher("**/{*.yaml,*.yml,.panellintignore}");
  const changed = (uri) => notify("workspace/didChangeWatchedFiles", { changes: [{ uri: uri.toString(), type: 2 }] });
  watched.onDidChange(changed);
  watched.onDidCreate(changed);
  watched.onDidDelete(changed);
  context.subscriptions.push(
    watched,
    vscode.workspace.onDidOpenTextDocument(opened),
    vscode.workspace.onDidChangeTextDocument((event) => {
      if (!isLabel(event.document)) return;
      const { uri, version } = event.document;
      notify("textDocument/didChange", {
        textDocument: { uri: uri.toString(), version },
        contentChanges: [{ text: event.document.getText() }],
      });
    }),
    vscode.workspace.onDidSaveTextDocument((document) => isLabel(document) && notify("textDocument/didSave", named(document))),
    vscode.workspace.onDidCloseTextDocument((document) => isLabel(document) && notify("textDocument/didClose", named(document))),
    vscode.workspace.onDidChangeConfiguration((event) => {
      if (event.affectsConfiguration("panellint.path")) restart();
      else if (event.affectsConfiguration("panellint")) notify("workspace/didChangeConfiguration", { settings: { panellint: settings() } });
    }),
    ...providers(),
  );
  return start();
}

async function start() {
  const folders = (vscode.workspace.workspaceFolders || []).map((one) => ({ uri: one.uri.toString(), name: one.name }));
  const program = vscode.workspace.getConfiguration("panellint").get("path") || "panellint";
  const own = new Connection(program, ["serve"], { cwd: vscode.workspace.workspaceFolders?.[0]?.uri.fsPath }, notified, (reason) => {
    connection = null;
    vscode.window.showErrorMessage(`panellint: ${reason}; is it installed? pip install 'panellint[editor]'`);
  });
  await own.ask("initialize", {
    processId: process.pid,
    rootUri: folders.length ? folders[0].uri : null,
    workspaceFolders: folders,
    initializationOptions: { panellint: settings() },
    capabilities: CAPABILITIES,
  });
  own.notify("initialized", {});
  connection = own;
  vscode.workspace.textDocuments.forEach(opened);
}

async function restart() {
  await deactivate();
  await start();
}

async function deactivate() {
  const own = connection;
  connection = null;
  if (diagnostics) diagnostics.clear();
  if (own) await own.stop();
}

const settings = () => ({ market: vscode.workspace.getConfiguration("panellint").get("market") || null });
const isLabel = (document) => document.languageId === "panel";
const named = (document) => ({ textDocument: { uri: document.uri.toString() } });
const at = (document, position) => ({ ...named(document), position: { line: position.line, character: position.character } });

function notify(method, params) {
  if (connection) connection.notify(method, params);
}

async function ask(method, params, token) {
  return connection ? connection.ask(method, params, token) : null;
}

function opened(document) {
  if (!isLabel(document)) return;
  notify("textDocument/didOpen", {
    textDocument: { uri: document.uri.toString(), languageId: "panel", version: document.version, text: document.getText() },
  });
}

function notified(method, params) {
  if (method === "textDocument/publishDiagnostics") {
    diagnostics.set(vscode.Uri.parse(params.uri), params.diagnostics.map(diagnostic));
  } else if (method === "window/showMessage") {
    if (params.type === 1) vscode.window.showErrorMessage(params.message);
    else vscode.window.showInformationMessage(params.message);
  }
}

// The protocol's plain values as the editor's own ----------------------------------------------

const position = (one) => new vscode.Position(one.line, one.character);
const range = (one) => new vscode.Range(position(one.start), position(one.end));
const plain = (one) => ({ line: one.line, character: one.character });

function diagnostic(one) {
  const made = new vscode.Diagnostic(range(one.range), one.message, one.severity - 1);
  made.source = one.source;
  made.code = one.codeDescription ? { value: one.code, target: vscode.Uri.parse(one.codeDescription.href) } : one.code;
  made.tags = one.tags;
  made.relatedInformation = (one.relatedInformation || []).map(
    (two) => new vscode.DiagnosticRelatedInformation(new vscode.Location(vscode.Uri.parse(two.location.uri), range(two.location.range)), two.message),
  );
  return made;
}

function workspaceEdit(edit) {
  const made = new vscode.WorkspaceEdit();
  for (const [uri, edits] of Object.entries(edit.changes || {})) {
    for (const one of edits) made.replace(vscode.Uri.parse(uri), range(one.range), one.newText);
  }
  return made;
}

function symbol(one) {
  const made = new vscode.DocumentSymbol(one.name, one.detail || "", one.kind - 1, range(one.range), range(one.selectionRange));
  made.children = (one.children || []).map(symbol);
  return made;
}

function codeAction(one) {
  const kind = one.kind === "quickfix" ? vscode.CodeActionKind.QuickFix : vscode.CodeActionKind.SourceFixAll;
  const made = new vscode.CodeAction(one.title, kind);
  made.edit = workspaceEdit(one.edit);
  made.isPreferred = one.isPreferred;
  made.diagnostics = (one.diagnostics || []).map(diagnostic);
  return made;
}

function providers() {
  const { languages } = vscode;
  const list = (answer, make) => (answer || []).map(make);
  return [
    languages.registerHoverProvider(SELECTOR, {
      async provideHover(document, where, token) {
        const found = await ask("textDocument/hover", at(document, where), token);
        return found && new vscode.Hover(new vscode.MarkdownString(found.contents.value), range(found.range));
      },
    }),
    languages.registerInlayHintsProvider(SELECTOR, {
      async provideInlayHints(document, within, token) {
        const asked = { ...named(document), range: { start: plain(within.start), end: plain(within.end) } };
        return list(await ask("textDocument/inlayHint", asked, token), (one) => {
          const made = new vscode.InlayHint(position(one.position), one.label);
          made.tooltip = one.tooltip;
          made.paddingLeft = one.paddingLeft;
          return made;
        });
      },
    }),
    languages.registerCodeLensProvider(SELECTOR, {
      async provideCodeLenses(document, token) {
        return list(await ask("textDocument/codeLens", named(document), token), (one) => new vscode.CodeLens(range(one.range), { title: one.command.title, command: "" }));
      },
    }),
    languages.registerCodeActionsProvider(
      SELECTOR,
      {
        async provideCodeActions(document, within, context, token) {
          const only = context.only ? [context.only.value] : undefined;
          const asked = { ...named(document), range: { start: plain(within.start), end: plain(within.end) }, context: { diagnostics: [], only } };
          return list(await ask("textDocument/codeAction", asked, token), codeAction);
        },
      },
      { providedCodeActionKinds: [vscode.CodeActionKind.QuickFix, vscode.CodeActionKind.SourceFixAll] },
    ),
    languages.registerCompletionItemProvider(
      SELECTOR,
      {
        async provideCompletionItems(document, where, token) {
          const found = await ask("textDocument/completion", at(document, where), token);
          const items = list(found && found.items, (one) => {
            const made = new vscode.CompletionItem(one.label, one.kind - 1);
            made.detail = one.detail;
            made.sortText = one.sortText;
            made.filterText = one.filterText;
            made.range = range(one.textEdit.range);
            made.insertText = one.textEdit.newText;
            return made;
          });
          return new vscode.CompletionList(items, Boolean(found && found.isIncomplete));
        },
      },
      ",", "(", "[", ":", " ",
    ),
    languages.registerDocumentSymbolProvider(SELECTOR, {
      async provideDocumentSymbols(document, token) {
        return list(await ask("textDocument/documentSymbol", named(document), token), symbol);
      },
    }),
    languages.registerDocumentFormattingEditProvider(SELECTOR, {
      async provideDocumentFormattingEdits(document, options, token) {
        const asked = { ...named(document), options: { tabSize: 2, insertSpaces: true } };
        return list(await ask("textDocument/formatting", asked, token), (one) => vscode.TextEdit.replace(range(one.range), one.newText));
      },
    }),
    languages.registerFoldingRangeProvider(SELECTOR, {
      async provideFoldingRanges(document, _context, token) {
        return list(await ask("textDocument/foldingRange", named(document), token), (one) => new vscode.FoldingRange(one.startLine, one.endLine));
      },
    }),
    languages.registerDefinitionProvider(SELECTOR, {
      async provideDefinition(document, where, token) {
        const found = await ask("textDocument/definition", at(document, where), token);
        return found && new vscode.Location(vscode.Uri.parse(found.uri), range(found.range));
      },
    }),
    languages.registerDocumentHighlightProvider(SELECTOR, {
      async provideDocumentHighlights(document, where, token) {
        return list(await ask("textDocument/documentHighlight", at(document, where), token), (one) => new vscode.DocumentHighlight(range(one.range)));
      },
    }),
    languages.registerDocumentLinkProvider(SELECTOR, {
      async provideDocumentLinks(document, token) {
        return list(await ask("textDocument/documentLink", named(document), token), (one) => new vscode.DocumentLink(range(one.range), vscode.Uri.parse(one.target)));
      },
    }),
  ];
}

module.exports = { activate, deactivate };
