using NodaTime;

namespace AftercarePortal.Clinical.Triage;

/// <summary>Reads a text in the light of those sent before it. What they held only raises.</summary>
/// <remarks>Windows and steps: design proposal, clinical sign-off is open (evidence, section 2a, rule 4: the same worry twice is one tier up).</remarks>
internal static class Conversation
{
    private static readonly Duration OneMessage = Duration.FromMinutes(10);
    private static readonly Duration SameWorry = Duration.FromHours(24);
    private static readonly Duration SameCourse = Duration.FromHours(48);

    internal static Reading Read(TriageLexicon lexicon, string text, IReadOnlyList<EarlierText> earlier, ReadingContext context)
    {
        var alone = lexicon.Read(text, context);
        var (tier, clues, floors) = (alone.Tier, alone.Clues.ToList(), alone.Floors.ToList());
        void Raise(Tier to, string floor)
        {
            if (to <= tier) return;
            tier = to;
            floors.Add(floor);
        }

        var before = earlier.Where(e => e.Before <= SameCourse).OrderByDescending(e => e.Before)
            .Select(e => (e.Text, e.MediaCount, e.Before, Reading: lexicon.Read(e.Text, context with { MediaCount = e.MediaCount }))).ToArray();
        var parts = before.Where(e => e.Before <= OneMessage).ToArray();
        if (parts.Length > 0)
        {
            var first = string.Join(' ', parts.Select(p => p.Text)) + " ";
            var whole = lexicon.Read(first + text, context with { MediaCount = context.MediaCount + parts.Sum(p => p.MediaCount) });
            clues.AddRange(whole.Clues.Where(c => c.End > first.Length && clues.All(own => own.ConceptId != c.ConceptId || own.Tier < c.Tier))
                .Select(c => c with { Start = Math.Max(0, c.Start - first.Length), End = c.End - first.Length }).ToArray());
            Raise(parts.Select(p => p.Reading.Tier).Append(whole.Tier).Max(), "read together with the texts just before");
        }

        var told = before.SelectMany(e => e.Reading.Clues.Where(IsTold).Select(c => (Clue: c, e.Before))).ToArray();
        var worse = floors.Contains(TriageFloors.NotBetter);
        if (told.Length > 0 && worse)
        {
            var was = told.Max(t => t.Clue.Tier);
            Raise(was == Tier.SameDay ? Tier.Urgent : was, "worse than told before");
        }

        foreach (var clue in alone.Clues.Where(c => IsTold(c) && told.Any(t => t.Clue.ConceptId == c.ConceptId && t.Before > OneMessage && t.Before <= SameWorry)))
            Raise(clue.Tier == Tier.SameDay ? Tier.Urgent : worse ? Tier.Emergency : clue.Tier, "the same worry again within a day");

        if (context.MayBeFiller && clues.FirstOrDefault(c => IsTold(c) && lexicon.ClassOf(c.ConceptId).Length > 0) is { } sign
            && told.Any(t => lexicon.ClassOf(t.Clue.ConceptId) is { Length: > 0 } other && other != lexicon.ClassOf(sign.ConceptId))
            && clues.All(c => c.ConceptId != TriageLexicon.VascularId))
        {
            var both = context.FillerDay <= 14 ? Tier.Emergency : Tier.Urgent;
            clues.Add(sign with { ConceptId = TriageLexicon.VascularId, Tier = both });
            Raise(both, "another sign of a blocked vessel was told within two days");
        }

        return alone with
        {
            Tier = tier, Clues = [.. clues.OrderByDescending(c => c.Tier).ThenBy(c => c.Start).ThenBy(c => c.ConceptId, StringComparer.Ordinal)],
            Floors = floors, Desk = tier > Tier.SameDay ? null : alone.Desk,
        };
    }

    private static bool IsTold(Clue clue) => clue.Tier >= Tier.SameDay && clue.Status is not ("negated" or "hypothetical" or "historical");
}
