/** The form of a text that goes with a number; every language has at least `other`. */
export function plural(language: string, n: number, forms: Partial<Record<Intl.LDMLPluralRule, string>> & { other: string }): string {
  return forms[new Intl.PluralRules(language).select(n)] ?? forms.other;
}
