// The text as a tree of values, and paths into it as the server writes them.
import type { FormField, FormView, TreeNode } from "./wire.ts";

/** Path of a key inside a group; a key with a dot or bracket is put in quotes. */
export const join = (path: string, key: string): string => {
  const k = key === "" || /[.[\]"]/.test(key) ? JSON.stringify(key) : key;
  return path === "" ? k : `${path}.${k}`;
};

export type Step = string | number;

/** Cuts 'room.windows[0]."wall 1.5"' into its steps. */
export function steps(path: string): Step[] {
  const out: Step[] = [];
  for (const m of path.matchAll(/\[(\d+)\]|"((?:[^"\\]|\\.)*)"|([^.[\]"]+)/g)) {
    if (m[1] !== undefined) out.push(Number(m[1]));
    else if (m[2] !== undefined) out.push(JSON.parse(`"${m[2]}"`) as string);
    else if (m[3] !== undefined) out.push(m[3]);
  }
  return out;
}

export const child = (n: TreeNode | null | undefined, s: Step): TreeNode | undefined => {
  if (!n?.items) return undefined;
  if (typeof s === "number") return n.kind === "list" ? n.items[s] : undefined;
  const i = n.kind === "map" ? (n.keys ?? []).indexOf(s) : -1;
  return i >= 0 ? n.items[i] : undefined;
};

export const find = (root: TreeNode | null | undefined, path: string): TreeNode | undefined =>
  steps(path).reduce<TreeNode | undefined>((n, s) => child(n, s), root ?? undefined);

/** The path without its last step. */
export function up(path: string): string {
  const s = steps(path).slice(0, -1);
  return s.reduce<string>((p, x) => (typeof x === "number" ? `${p}[${x}]` : join(p, x)), "");
}

/** What the form says of a path: the field whose value stands there, and whether it is one entry of a list. */
export function fieldAt(form: FormView, path: string): { field: FormField | null; entry: boolean; group: string } {
  let group = "file", field: FormField | null = null, entry = false;
  for (const s of steps(path)) {
    if (typeof s === "number") { entry = true; continue; }
    if (field?.kind === "map") { entry = true; continue; }
    field = form.groups[group]?.fields.find((f) => f.key === s) ?? null;
    entry = false;
    if (!field) return { field: null, entry: false, group: "" };
    group = field.group || group;
  }
  return { field, entry, group };
}

/** Entries of a list; a list of one may be written without brackets. */
export const entries = (n: TreeNode | undefined): TreeNode[] => (!n || n.kind === "none" ? [] : n.kind === "list"
  ? n.items ?? [] : [n]);

/** What an entry is called in a list. */
export function titleOf(n: TreeNode | undefined, other: string): string {
  for (const k of ["name", "role", "point", "title", "kind"]) {
    const t = child(n, k)?.text;
    if (t) return t;
  }
  return other;
}

/** The first settings of an entry in a few words. */
export function inShort(n: TreeNode | undefined, most = 70): string {
  if (!n) return "";
  if (n.kind === "text") return n.text ?? "";
  const words: string[] = [];
  for (const [i, k] of (n.keys ?? []).entries()) {
    const v = n.items?.[i];
    if (["name", "role", "point"].includes(k) || !v) continue;
    const t = v.kind === "text" ? v.text ?? "" : v.kind === "list" && (v.items ?? []).every((x) => x.kind === "text")
      ? (v.items ?? []).map((x) => x.text).join(" × ") : "";
    if (t) words.push(`${k} ${t}`);
    if (words.join(", ").length > most) break;
  }
  const s = words.join(", ");
  return s.length > most ? `${s.slice(0, most - 1).trimEnd()}…` : s;
}

/** A name that no other entry has: 'window', 'window 2', … */
export function freeName(list: readonly TreeNode[], name: string): string {
  const taken = new Set(list.map((n) => (child(n, "name")?.text ?? "").toLowerCase()));
  for (let i = 1; ; i++) {
    const t = i === 1 ? name : `${name} ${i}`;
    if (!taken.has(t.toLowerCase())) return t;
  }
}
