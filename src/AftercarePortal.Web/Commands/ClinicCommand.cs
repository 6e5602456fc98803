using System.Data.Common;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Commands;

/// <summary>Adds a clinic with whoever leads it: the one thing no page can do, because nobody can sign in before it.</summary>
internal static partial class ClinicCommand
{
    private const string Usage =
        """
        usage: clinic add --name NAME --slug WORD --zone IANA --emergency NUMBER --line NUMBER --patients +NUMBER --pages +NUMBER
                          --lead SIGN-IN-NAME --lead-name FULL-NAME --lead-number +NUMBER [--SECTION:KEY=VALUE ...]
        slug      the clinic's word in public addresses: lower-case letters, digits, hyphens
        patients  the carrier's number patients text; pages: the one that pages staff, known to staff only
        The database is the one the portal is configured for (see db --help). Prints the lead's first password once.
        Quiet hours are 21:00 to 08:00 until changed under Settings. exit codes: 0 added, 1 not added, 2 wrong use
        """;

    private static readonly string[] Wanted = ["name", "slug", "zone", "emergency", "line", "patients", "pages", "lead", "lead-name", "lead-number"];

    public static async Task<int> Run(string[] args, TextWriter output, TextWriter error)
    {
        if (args is ["--help" or "-h"] or [_, "--help" or "-h"])
        {
            output.WriteLine(Usage);
            return 0;
        }

        if (args is not ["add", .. var rest] || Read(rest) is not var (given, settings))
        {
            error.WriteLine(Usage);
            return 2;
        }

        var faults = Faults(given);
        if (faults.Count == 0)
        {
            try
            {
                faults = await Add(given, settings, output);
            }
            catch (Exception fault) when (fault is DbException or InvalidOperationException or IOException or UnauthorizedAccessException)
            {
                faults = [fault is DbException ? $"the database cannot be used: {fault.Message} Was 'db migrate' run?" : fault.Message];
            }
        }

        foreach (var fault in faults) error.WriteLine($"Not added: {fault}");
        return faults.Count == 0 ? 0 : 1;
    }

    private static (Dictionary<string, string> Given, string[] Settings)? Read(string[] rest)
    {
        var settings = rest.Where(a => a.StartsWith("--", StringComparison.Ordinal) && a.Contains('=')).ToArray();
        var words = rest.Where(a => !settings.Contains(a)).ToArray();
        var given = new Dictionary<string, string>();
        if (words.Length != 2 * Wanted.Length) return null;
        for (var i = 0; i < words.Length; i += 2)
            if (!words[i].StartsWith("--", StringComparison.Ordinal) || !Wanted.Contains(words[i][2..]) || !given.TryAdd(words[i][2..], words[i + 1])) return null;
        return (given, settings);
    }

    private static List<string> Faults(Dictionary<string, string> given)
    {
        var faults = new List<string>();
        if (given["name"].Trim().Length is 0 or > 100) faults.Add("--name takes up to 100 characters.");
        if (!Slug().IsMatch(given["slug"])) faults.Add("--slug takes up to 60 lower-case letters, digits and hyphens.");
        if (DateTimeZoneProviders.Tzdb.GetZoneOrNull(given["zone"]) is null) faults.Add("--zone must be a time zone of the IANA list, for example America/New_York.");
        if (!Dialled().IsMatch(given["emergency"])) faults.Add("--emergency must be the local emergency number as people dial it.");
        if (!Dialled().IsMatch(given["line"])) faults.Add("--line must be the clinic's line as people dial it.");
        foreach (var number in new[] { "patients", "pages" }.Where(n => !E164().IsMatch(given[n]))) faults.Add($"--{number} must be a number with country code, for example +12025550100.");
        if (given["patients"] == given["pages"]) faults.Add("--patients and --pages must be two numbers: a patient's STOP must not silence pages.");
        return faults;
    }

    private static async Task<List<string>> Add(Dictionary<string, string> given, string[] settings, TextWriter output)
    {
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions { Args = settings, ContentRootPath = AppContext.BaseDirectory });
        builder.Logging.ClearProviders();       // what is wrong is said in one line below
        builder.Services.AddData(builder.Configuration);
        builder.AddStaff();
        await using var app = builder.Build();
        await using var scope = app.Services.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        if (await db.Clinics.AnyAsync(c => c.Slug == given["slug"] || c.PatientNumber == given["patients"] || c.PageNumber == given["pages"]))
            return ["a clinic with this slug or one of these numbers is there already."];

        var clinic = new ClinicRow
        {
            Name = given["name"].Trim(), Slug = given["slug"], Zone = given["zone"], EmergencyNumber = given["emergency"], ClinicLine = given["line"],
            PatientNumber = given["patients"], PageNumber = given["pages"], QuietFrom = new(21, 0), QuietTo = new(8, 0),
        };
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic.Id);
        // Both or neither: a clinic nobody can sign in to would hold its slug and numbers for ever.
        await using var all = await db.Database.BeginTransactionAsync();
        db.Add(clinic);
        foreach (var number in new[] { clinic.PatientNumber, clinic.PageNumber })
            if (!await db.Swept.AnyAsync(s => s.Number == number)) db.AnswerFor(number, SystemClock.Instance.GetCurrentInstant());
        await db.SaveChangesAsync();
        switch (await scope.ServiceProvider.GetRequiredService<StaffBook>().Add(given["lead"], given["lead-name"], given["lead-number"], StaffRole.PracticeLead))
        {
            case StaffBook.Outcome.Password added:
                await all.CommitAsync();
                output.WriteLine($"Added {clinic.Name}. {given["lead"]} signs in at /Staff/SignIn with this password, shown only now: {added.FirstPassword}");
                output.WriteLine($"Patients start at /Intake/at/{clinic.Slug}. Next: Settings (price list), Staff, and the rota.");
                return [];
            case StaffBook.Outcome.Refused refused: return [.. refused.Reasons];
            default: throw new System.Diagnostics.UnreachableException();
        }
    }

    [GeneratedRegex("^[a-z0-9-]{1,60}$")]
    private static partial Regex Slug();

    [GeneratedRegex(@"^[0-9 +()-]{3,30}$")]
    private static partial Regex Dialled();

    [GeneratedRegex(@"^\+[0-9]{7,15}$")]
    private static partial Regex E164();
}
