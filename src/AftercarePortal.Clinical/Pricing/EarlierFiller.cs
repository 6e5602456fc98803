using AftercarePortal.Clinical.Intake;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>Which effect of earlier filler may hold: its weight and the effect's id, null for none.</summary>
internal static class EarlierFiller
{
    /// <summary>Every possibility; weights add up to 1, each id once.</summary>
    public static List<(double Weight, string? Effect)> Possible(PriceModel model, Answers answers, bool? fillerHere, List<string> open)
    {
        double had = 1;
        // What was found counts more than what was remembered.
        if (fillerHere is false) return [(1, null)];
        if (fillerHere is null && answers.ValueOf("earlier-filler") is "no") return [(1, null)];
        if (fillerHere is null && answers.ValueOf("earlier-filler") is not "yes")
        {
            open.Add("earlier-filler");
            had = model.Open.EarlierFiller;
        }

        // What follows only matters if there was any; the questionnaire never asks where it lies.
        var here = fillerHere is true ? 1 : had * model.Open.FillerHere;
        var when = answers.ValueOf("earlier-filler-when");
        if (when is null || !model.Open.When.ContainsKey(when)) when = null;
        if (when is null && had == 1) open.Add("earlier-filler-when");
        var times = when is null ? model.Open.When : new Dictionary<string, double> { [when] = 1 };
        var kinds = answers.ValuesOf("earlier-filler-kind").Where(k => k is "ha" or "caha-plla" or "permanent" or "unknown").ToList();
        var stimulator = kinds.Contains("caha-plla") ? 1 : kinds.Count == 0 || kinds.Contains("unknown") ? model.Open.Stimulator : 0;
        if (kinds.Count == 0 && had == 1 && times.Any(t => t.Value > 0 && t.Key != "longer")) open.Add("earlier-filler-kind");
        var sum = new SortedDictionary<string, double>(StringComparer.Ordinal);
        foreach (var (code, weight) in times)
        {
            if (code == "longer") continue;
            sum["stimulator"] = sum.GetValueOrDefault("stimulator") + here * weight * stimulator;
            var other = code == "within-12-months" ? "filler-recent" : "filler-older";
            sum[other] = sum.GetValueOrDefault(other) + here * weight * (1 - stimulator);
        }

        return [(1 - sum.Values.Sum(), null), .. sum.Where(e => e.Value > 0).Select(e => (e.Value, (string?)e.Key))];
    }
}
