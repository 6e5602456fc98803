using System.Globalization;
using System.Xml.Linq;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Web.Features.Shared;
using Microsoft.AspNetCore.Html;
using static AftercarePortal.Web.Features.Shared.Draw;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>The pictures of the Outcomes room, each with its words and a table that says the same. Drawn for a screen of 390 px.</summary>
internal static class OutcomeCharts
{
    private const double Width = 360;

    /// <summary>How many ranges held, a row each, with where the true share may lie.</summary>
    public static IHtmlContent Coverage(IReadOnlyList<(string Name, RangeCoverage Coverage)> rows, string id)
    {
        const double left = 118, right = 14, top = 30, step = 30;
        var floor = top + step * rows.Count;
        double X(double share) => left + (Width - left - right) * share;
        var picture = Picture(Width, floor + 40, id, "How many ranges held", string.Join(" ", rows.Select(r => $"{r.Name}: {Said(r.Coverage)}.")));
        // Each row has its own promise; where all are the same the marks stand above each other.
        var marked = rows.Where(r => r.Coverage.Of > 0).Select(r => r.Coverage.Promised).ToList();
        if (marked.Count > 0) picture.Add(Text(X(marked[0]), top - 14, "middle", "promised", Warn));
        for (var i = 0; i < rows.Count; i++)
        {
            var (name, coverage) = rows[i];
            var y = top + step * (i + 0.5);
            picture.Add(Text(left - 8, y + 4, "end", name.Length > 16 ? name[..15] + "…" : name, Ink));
            if (coverage.Between is not { } between)
            {
                picture.Add(Text(left + 4, y + 4, "start", "none yet", Quiet));
                continue;
            }

            picture.Add(Line(X(coverage.Promised), y - step / 2, X(coverage.Promised), y + step / 2, Warn, "4 3"));
            picture.Add(Line(X(between.Lower), y, X(between.Upper), y, Deep), Line(X(between.Lower), y - 5, X(between.Lower), y + 5, Deep), Line(X(between.Upper), y - 5, X(between.Upper), y + 5, Deep), Dot(X((double)coverage.Held / coverage.Of), y, Deep));
        }

        picture.Add(Line(left, floor, Width - right, floor, Ink));
        foreach (var tick in new[] { 0, 25, 50, 75, 100 }) picture.Add(Line(X(tick / 100.0), floor, X(tick / 100.0), floor + 5, Ink), Text(X(tick / 100.0), floor + 19, "middle", $"{tick}", Ink));
        picture.Add(Text(Width - right, floor + 35, "end", "of 100 ranges held; the line is what chance allows", Ink));
        return Figure(picture, "Dot: how many of 100 held. Line: where the true share may lie, 95 times in 100. Dashes: how many were promised.", ["Group", "Held", "Of", "May truly lie between", "Promised"],
            rows.Select(r => new[] { r.Name, $"{r.Coverage.Held}", $"{r.Coverage.Of}", r.Coverage.BetweenOf100 is var (least, most) ? $"{least} and {most} %" : "not known", r.Coverage.Of > 0 ? $"{r.Coverage.PromisedOf100} %" : "" }));
    }

    /// <summary>Where in the forecasts the cases fell.</summary>
    public static IHtmlContent Places(IReadOnlyList<double> bins, int cases, string id)
    {
        const double left = 34, right = 12, top = 26, floor = 150;
        var highest = Math.Max(0.2, bins.Max());
        double X(double bin) => left + (Width - left - right) * bin / bins.Count;
        double Y(double share) => floor - (floor - top) * share / highest;
        var words = string.Join(", ", bins.Select((b, i) => $"{Percent((double)i / bins.Count)} to {Percent((i + 1.0) / bins.Count)}: {Percent(b)} %"));
        var picture = Picture(Width, 196, id, "Where in its forecast each case fell", $"Share of {cases} cases in each tenth of the forecast. {words}.");
        for (var i = 0; i < bins.Count; i++) picture.Add(Box(X(i) + 1, Y(bins[i]), X(i + 1) - X(i) - 2, floor - Y(bins[i]), i is 0 or 9 ? Quiet : Deep));
        picture.Add(Line(left, Y(1.0 / bins.Count), Width - right, Y(1.0 / bins.Count), Warn, "4 3"), Text(Width - right, 14, "end", "dashed: every forecast right", Warn), Line(left, floor, Width - right, floor, Ink));
        foreach (var tick in new[] { 0, 5, 10 }) picture.Add(Text(X(tick), floor + 18, "middle", $"{tick * 10}", Ink));
        foreach (var share in new[] { 0.1, 0.2, 0.3, 0.4, 0.5 }.Where(s => s <= highest)) picture.Add(Text(left - 6, Y(share) + 4, "end", $"{Percent(share)}", Ink));
        picture.Add(Text(left - 22, 14, "start", "% of the cases", Ink), Text(Width / 2, 190, "middle", "less than expected  ←  place in the forecast  →  more", Ink));
        return Figure(picture, "Even bars are right. High bars at both ends: the ranges are too narrow. A hill in the middle: too wide. High bars on the right: more was used than expected.", ["Place in the forecast", "Cases, %"],
            bins.Select((b, i) => new[] { $"{i * 10} to {(i + 1) * 10}", $"{Percent(b)}" }));
    }

    /// <summary>Mean interval score of tens of cases in a row.</summary>
    /// <param name="unit">Says an amount with its unit.</param>
    /// <param name="promises">The shares that were promised.</param>
    public static IHtmlContent Scores(IReadOnlyList<ScorePeriod> periods, Func<double, string> unit, IReadOnlyList<double> promises, string id)
    {
        const double left = 24, right = 24, top = 34, floor = 140;
        var highest = periods.Max(p => p.MeanScore) * 1.15;
        double X(int i) => periods.Count == 1 ? Width / 2 : left + 14 + (Width - left - right - 28) * i / (periods.Count - 1);
        double Y(double score) => floor - (floor - top) * score / highest;
        var picture = Picture(Width, 184, id, "Interval score over time", string.Join(" ", periods.Select(p => $"{p.From} to {p.To}: {unit(p.MeanScore)}.")));
        for (var i = 1; i < periods.Count; i++) picture.Add(Line(X(i - 1), Y(periods[i - 1].MeanScore), X(i), Y(periods[i].MeanScore), Deep));
        for (var i = 0; i < periods.Count; i++)
        {
            picture.Add(Dot(X(i), Y(periods[i].MeanScore), Deep));
            // On a narrow screen only some labels have room.
            if (periods.Count <= 6 || i == 0 || i == periods.Count - 1) picture.Add(Text(X(i), Y(periods[i].MeanScore) - 12, "middle", unit(periods[i].MeanScore).Split(' ')[0], Ink));
            if (periods.Count <= 6 || i == 0 || i == periods.Count - 1) picture.Add(Text(X(i), floor + 18, "middle", Month(periods[i]), Ink));
        }

        picture.Add(Line(left, floor, Width - right, floor, Ink), Text(left, 16, "start", $"{unit(0).Split(' ')[^1]}; lower is better", Ink), Text(Width / 2, 178, "middle", "ten cases a dot, by the month of the last", Ink));
        return Figure(picture, $"The score is the width of a range, and {(promises is [var one] ? $"{2 / (1 - one):0.#} times what it missed by" : "a penalty for what it missed by, the larger the more was promised: compare only ranges that promised the same")}. It falls when ranges become narrower and still hold.", ["Days", "Held", "Of", "Mean score"],
            periods.Select(p => new[] { $"{Plain.Day(p.From)} to {Plain.Day(p.To)}", $"{p.Held}", $"{p.Cases}", unit(p.MeanScore) }));
    }

    /// <summary>For example <c>41 of 50 held, 82 %; by chance it could be 69 to 91 %</c>.</summary>
    public static string Said(RangeCoverage coverage) => coverage.BetweenOf100 is var (least, most)
        ? $"{coverage.Held} of {coverage.Of} held, {Percent((double)coverage.Held / coverage.Of)} %; by chance it could be {least} to {most} %"
        : "nothing to compare yet";

    private static IHtmlContent Figure(XElement picture, string says, string[] head, IEnumerable<string[]> rows) => new HtmlString(new XElement("figure", new XAttribute("class", "range-chart"),
        picture, new XElement("figcaption", new XElement("p", says)),
        new XElement("details", new XElement("summary", "The same as a table"), new XElement("table",
            new XElement("thead", new XElement("tr", head.Select(h => new XElement("th", new XAttribute("scope", "col"), h)))),
            new XElement("tbody", rows.Select(r => new XElement("tr", new XElement("th", new XAttribute("scope", "row"), r[0]), r.Skip(1).Select(c => new XElement("td", c)))))))).ToString(SaveOptions.DisableFormatting));

    private static int Percent(double share) => (int)Math.Round(100 * share);

    private static string Month(ScorePeriod period) => period.To.ToString("MMM uu", CultureInfo.InvariantCulture);
}
