using System.Text.Json.Nodes;
using AftercarePortal.Clinical.Triage;

namespace AftercarePortal.Web.ContentFiles;

/// <summary>Finds entries of a triage lexicon that can never be reached or that say two things at once.</summary>
internal static class TriageContradictions
{
    internal static void Check(ContentDocument doc, IReadOnlyDictionary<string, IReadOnlyList<string>> atoms, IReadOnlyList<TriageConcept> concepts, IEnumerable<string> shortForms, List<ContentError> errors)
    {
        foreach (var (name, form) in atoms.SelectMany(a => a.Value.Select(f => (a.Key, f))).Where(f => f.f.Split('_') is ["~", ..] or [.., "~"]))
            doc.Fault(errors, $"/atoms/{name}", $"A gap stands between words, never at an end: {form}.");
        var alone = atoms.SelectMany(a => a.Value.Select(form => (Form: form, Atom: a.Key))).ToLookup(f => f.Form, f => f.Atom);
        foreach (var form in shortForms.Where(alone.Contains))
            doc.Fault(errors, $"/shorthand/{form}", $"This is spelt out before it is read, so it is never found under {string.Join(", ", alone[form])}.");
        foreach (var form in (atoms.GetValueOrDefault("idiom") ?? []).Where(f => alone[f].Count() > 1))
            doc.Fault(errors, "/atoms/idiom", $"{form} is masked here, so it is never found under {string.Join(", ", alone[form].Where(a => a != "idiom"))}.");
        var rows = doc.Root["concepts"] as JsonArray ?? [];
        for (var i = 0; i < concepts.Count; i++)
        {
            var at = $"/concepts/{rows.TakeWhile(r => r?["id"]?.ToString() != concepts[i].Id).Count()}";
            foreach (var (row, before) in concepts[i].Tiers.Select((row, n) => (row, concepts[i].Tiers.Take(n))))
                if (before.Any(b => b.FromDay <= row.FromDay && b.ToDay >= row.ToDay && (b.Filler is null || b.Filler == row.Filler)))
                    doc.Fault(errors, at + "/tiers", $"A row above {concepts[i].Id} decides first on all days of the row for {row.Tier}.");
            foreach (var twice in concepts[i].When.GroupBy(Written).Where(g => g.Count() > 1))
                doc.Fault(errors, at + "/when", $"The frame of {twice.Key} stands twice.");
        }
    }

    private static string Written(TriageFrame frame) =>
        $"{string.Join(frame.InOrder ? " > " : " ", frame.Atoms)} {frame.Within} max {frame.MaxWords} {string.Join(' ', frame.Without.Select(w => "!" + w).Concat(frame.NotAfter.Select(w => "!>" + w)))}";
}
