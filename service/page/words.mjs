// Makes src/words/{en,de,fr}.ts, and those in src/words/more, from the Fluent files: messages/ has the page's own texts, and the
// few sentences that the service says, too, come from the service's own files. A text that a
// language lacks, that asks for other arguments there or that no source uses ends the build.
import { parse } from "@fluent/syntax";
import { readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const LANGUAGES = ["en", "de", "fr"];
const OWN = "messages";
/** Sentences of the service that the page says itself where there is no network. */
const SERVICE = "../../parser/messages";
const SHARED = ["flaw-blurred", "flaw-dark"];

/** What the first view says; the rest is fetched with the views that say it. */
const FIRST = ["common", "nav", "session", "problem", "photo", "save", "place", "outcome", "flaw"];

const wrong = [];

function files(folder) {
  return readdirSync(folder).sort().map((name) => join(folder, name));
}

function messages(path) {
  const { body } = parse(readFileSync(path, "utf8"), {});
  for (const entry of body) {
    if (entry.type === "Junk") wrong.push(`${path}: ${entry.content.split("\n")[0]}: ${entry.annotations[0]?.message}`);
  }
  return body.filter((entry) => entry.type === "Message");
}

/** Text between back quotes. */
const quoted = (text) => text.replaceAll(/[\\`]|\$\{/g, "\\$&");

/** A pattern as an expression; `kinds` hears the type of each argument. */
function pattern(language, { elements }, kinds) {
  const [only] = elements;
  if (elements.length === 1 && only.type === "Placeable" && only.expression.type === "SelectExpression") {
    const { selector, variants } = only.expression;
    const name = selector.id.name;
    kinds.set(name, "number");
    const forms = variants.map((one) => `${one.key.name}: ${pattern(language, one.value, kinds)}`);
    return `plural("${language}", ${name}, { ${forms.join(", ")} })`;
  }
  const parts = elements.map((element) => {
    if (element.type === "TextElement") return quoted(element.value.replaceAll("\n", " "));
    const { expression } = element;
    if (expression.type === "StringLiteral") return quoted(expression.parse().value);
    if (expression.type !== "VariableReference") throw new Error(`${expression.type} is nothing that the page's texts use`);
    const { name } = expression.id;
    if (!kinds.has(name)) kinds.set(name, "string | number");
    return `\${${name}}`;
  });
  return `\`${parts.join("")}\``;
}

/** A text, or a function of its arguments. */
function said(language, value) {
  const kinds = new Map();
  const text = pattern(language, value, kinds);
  if (kinds.size === 0) return text;
  const names = [...kinds.keys()].sort();
  return `({ ${names.join(", ")} }: { ${names.map((name) => `${name}: ${kinds.get(name)}`).join("; ")} }) => ${text}`;
}

/** What a text asks for, apart from its words. */
const shape = (code) => (/^\(\{[^)]*\)/.exec(code)?.[0] ?? "text");

/** All texts of a language: group, key, and for a text with several forms the form. */
function catalogue(language) {
  const found = new Map();
  const put = (key, code) => {
    if (found.has(key)) wrong.push(`${language}: ${key} stands twice`);
    found.set(key, code);
  };
  const own = files(join(OWN, language)).flatMap(messages);
  const shared = files(join(SERVICE, language)).flatMap(messages).filter(({ id }) => SHARED.includes(id.name));
  for (const { id, value, attributes } of [...own, ...shared]) {
    const [group, ...rest] = id.name.split("-");
    const key = `${group}.${rest.join("_")}`;
    if (value) put(key, said(language, value));
    for (const one of attributes) put(`${key}.${one.id.name}`, said(language, one.value));
  }
  return found;
}

/** Nested as the keys say. */
function nested(texts) {
  const tree = {};
  for (const [key, code] of texts) {
    const steps = key.split(".");
    const last = steps.pop();
    steps.reduce((at, step) => (at[step] ??= {}), tree)[last] = code;
  }
  const print = (node, depth) =>
    typeof node === "string"
      ? node
      : `{\n${Object.entries(node)
          .map(([key, inner]) => `${"  ".repeat(depth + 1)}${key}: ${print(inner, depth + 1)},\n`)
          .join("")}${"  ".repeat(depth)}}`;
  return print(tree, 0);
}

/** Texts that no source names. */
function unused(keys) {
  const sources = (folder) =>
    files(folder).flatMap((path) => (statSync(path).isDirectory() ? sources(path) : [path])).filter((path) => !/words.(more.)?(en|de|fr)\.ts$/.test(path));
  const code = sources("src").map((path) => readFileSync(path, "utf8")).join("\n");
  const named = new Set(keys.map((key) => key.split(".").slice(0, 2)).map(([group, name]) => `${group}.${name}`));
  // `flaw[kind]` names a text, too.
  return [...named].filter((key) => !new RegExp(`\\.${key.replace(".", "(\\.")}\\b|\\[)`).test(code));
}

const all = new Map(LANGUAGES.map((language) => [language, catalogue(language)]));
const english = all.get("en");
for (const [language, texts] of all) {
  for (const [key, code] of english) {
    if (!texts.has(key)) wrong.push(`${language} lacks ${key}`);
    else if (shape(texts.get(key)) !== shape(code)) wrong.push(`${language}: ${key} asks for other arguments than in English`);
  }
  for (const key of texts.keys()) if (!english.has(key)) wrong.push(`${language} alone has ${key}`);
}
for (const key of unused([...english.keys()])) wrong.push(`no source says ${key}`);
if (wrong.length > 0) {
  console.error(wrong.join("\n"));
  process.exit(1);
}

/** Writes those of a language's texts that a part of the page says. */
function write(folder, language, texts) {
  const plural = `${folder ? "../" : "./"}plural`;
  const plurals = [...texts.values()].some((code) => code.includes("plural(")) ? `import { plural } from "${plural}";\n` : "";
  const kind = folder ? "More" : "Words";
  const type = language === "en" ? "" : `: ${kind}`;
  const head = `// Made by words.mjs from messages/${language}: change the texts there.\n${plurals}`;
  const other = language === "en" ? "" : `import type { ${kind} } from "./en";\n`;
  const tail = language === "en" ? `\n/** What every language has. */\nexport type ${kind} = typeof en;\n` : "";
  writeFileSync(`src/words/${folder}${language}.ts`, `${head}${other}\nexport const ${language}${type} = ${nested(texts)};\n${tail}`);
}

for (const [language, texts] of all) {
  const part = (first) => new Map([...texts].filter(([key]) => FIRST.includes(key.split(".")[0]) === first));
  write("", language, part(true));
  write("more/", language, part(false));
}
