using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>What an intake came to as a tagged PDF, for who holds its private link.</summary>
internal static class IntakePdf
{
    public static void MapIntakePdf(this IEndpointRouteBuilder app) => app.MapGet("/Intake/{link}/pdf", Print);

    private static async Task<IResult> Print(string link, HttpContext http, OpenIntake open, IntakeLimits limits, PortalDb db, ContentLibrary content, CancellationToken stop)
    {
        if (await open.Run(link, stop) is not { } opened) return TypedResults.Redirect(OpenIntake.AddressOf(link));        // which says that it has ended, and whom to ring
        if (limits.MinutesToWaitOf(IntakeLimits.Act.Print, opened.Intake.Id, http) is not null) return TypedResults.StatusCode(StatusCodes.Status429TooManyRequests);
        if (await opened.CurrentResult(db, stop) is not { } result) return TypedResults.Redirect($"/Intake/{link}");
        var narrower = opened.Intake.NarrowerQuote is { } quote ? (await db.Quotes.AsNoTracking().SingleAsync(q => q.Id == quote, stop)).ShownRange() : null;
        return TypedResults.File(Pdf(opened, result, (narrower ?? result.Price)?.In(content.Pricing, opened.Words.Language), content.WordsIn(opened).Any(content.SoundsUrgent)), "application/pdf", "intake.pdf");
    }

    private static byte[] Pdf(OpenIntake.Opened opened, IntakeResult result, PriceRange? price, bool urgent)
    {
        var (say, clinic) = (opened.Words, opened.Clinic);
        using var sheet = new PrintedSheet(say["title"], say.Language);
        sheet.Title(say["result"]);
        sheet.Paragraph($"{clinic.Name}. {say.Say("worked-out", AnswerWords.OfDate(result.On, say), result.Questionnaire, result.Rules)}");
        sheet.Paragraph(say["result-caution"]);
        sheet.Paragraph(say.Say("pdf-ring", clinic.ClinicLine, clinic.EmergencyNumber));
        if (urgent) sheet.Strong($"{say["urgent-head"]} {say.Say("urgent", clinic.ClinicLine, clinic.EmergencyNumber)}");
        if (result.HasNothing) sheet.Paragraph(say["nothing"]);
        sheet.Strong($"{say["earliest"]} {(result.Earliest is { } all ? $"{AnswerWords.OfDate(all, say)}, {say["confirmed"]}" : say[result.EarliestKey])}{(result.Earliest is not null && result.GroupsOf(FindingKind.ClearFirst).Any() ? $" {say["earliest-then"]}" : "")}");
        foreach (var (kind, key) in ResultModel.KindsWithWords) Findings(sheet, result.GroupsOf(kind).ToList(), key, say);
        if (price is not null) Price(sheet, price, say);
        if (say["not-checked"] is { Length: > 0 } translation) sheet.Paragraph(translation);
        return sheet.Bytes();
    }

    private static void Findings(PrintedSheet sheet, List<IReadOnlyList<IntakeResult.ShownFinding>> groups, string key, PageWords say)
    {
        if (groups.Count == 0) return;
        sheet.Heading(say[key]);
        sheet.Paragraph(say[$"{key}-means"]);
        foreach (var group in groups)
        {
            if (FindingWords.About(group[0]) is { Length: > 0 } about) sheet.Strong(about);
            if (group.Count > 1) sheet.Paragraph(say["not-told"]);
            foreach (var finding in group)
            {
                sheet.Paragraph(finding.Says + (finding.Earliest is { } day ? $" {say["earliest"]} {AnswerWords.OfDate(day, say)}" : ""));
                if (finding.FromDoubt) sheet.Paragraph(say["doubt"]);
            }
        }
    }

    private static void Price(PrintedSheet sheet, PriceRange price, PageWords say)
    {
        var words = PriceInWords.Chart(price, say);
        sheet.Heading(say["cost"]);
        sheet.Strong(words.Range);
        sheet.Paragraph($"{PriceInWords.Promise(price, say)} {words.MassSays} {words.AtMostSays}");
        sheet.Paragraph(say["price-caution"]);
        sheet.Heading(say["price-why"]);
        foreach (var reason in price.Reasons) sheet.Paragraph(reason.Says);
        sheet.Heading(say["price-made-of"]);
        sheet.Paragraph($"{PriceInWords.InAbout(price, say)}:");
        foreach (var line in price.Lines) sheet.Paragraph($"{line.Says}: {PriceInWords.Span(line.Span, say)}");
        sheet.Paragraph(say["price-lines-note"]);
        foreach (var note in price.Notes) sheet.Paragraph(note);
        if (price.LeftOpen.Count > 0) sheet.Paragraph(say.Say("price-left-open", string.Join(", ", price.LeftOpen)));
        sheet.Paragraph(PriceInWords.Cases(price, say));
    }
}
