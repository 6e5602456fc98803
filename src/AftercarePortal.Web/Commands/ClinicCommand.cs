using System.Data.Common;
using System.Text.RegularExpressions;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Commands;

/// <summary>Adds a clinic with whoever leads it, which no page can do because nobody can sign in before it, and gives one other numbers of the carrier.</summary>
internal static partial class ClinicCommand
{
    private const string Usage =
        """
        usage: clinic add --name NAME --slug WORD --zone IANA --emergency NUMBER --line NUMBER --patients +NUMBER --pages +NUMBER
                          --lead SIGN-IN-NAME --lead-name FULL-NAME --lead-number +NUMBER [--SECTION:KEY=VALUE ...]
               clinic number --slug WORD --patients +NUMBER --pages +NUMBER [--SECTION:KEY=VALUE ...]
        add       a new clinic; number: other numbers for one that is there. What waits unread for such a number is read within two minutes
        slug      the clinic's word in public addresses: lower-case letters, digits, hyphens
        patients  the carrier's number patients text; pages: the one that pages staff, known to staff only
        The database is the one the portal is configured for (see db --help). Prints the lead's first password once.
        Quiet hours are 21:00 to 08:00 until changed under Settings. exit codes: 0 done, 1 not done, 2 wrong use
        """;

    private static readonly string[] Wanted = ["name", "slug", "zone", "emergency", "line", "patients", "pages", "lead", "lead-name", "lead-number"];
    private static readonly string[] WantedForNumbers = ["slug", "patients", "pages"];

    public static async Task<int> Run(string[] args, TextWriter output, TextWriter error)
    {
        if (args is ["--help" or "-h"] or [_, "--help" or "-h"])
        {
            output.WriteLine(Usage);
            return 0;
        }

        if (args is not [("add" or "number") and var what, .. var rest] || Read(rest, what is "add" ? Wanted : WantedForNumbers) is not var (given, settings))
        {
            error.WriteLine(Usage);
            return 2;
        }

        var faults = what is "add" ? [.. Faults(given), .. NumberFaults(given)] : NumberFaults(given);
        if (faults.Count == 0)
        {
            try
            {
                faults = await InDatabase(settings, scope => what is "add" ? Add(scope, given, output) : Number(scope, given, output));
            }
            catch (Exception fault) when (fault is DbException or InvalidOperationException or IOException or UnauthorizedAccessException)
            {
                faults = [fault is DbException ? $"the database cannot be used: {fault.Message} Was 'db migrate' run?" : fault.Message];
            }
        }

        foreach (var fault in faults) error.WriteLine($"{(what is "add" ? "Not added" : "Not changed")}: {fault}");
        return faults.Count == 0 ? 0 : 1;
    }

    private static (Dictionary<string, string> Given, string[] Settings)? Read(string[] rest, string[] wanted)
    {
        var settings = rest.Where(a => a.StartsWith("--", StringComparison.Ordinal) && a.Contains('=')).ToArray();
        var words = rest.Where(a => !settings.Contains(a)).ToArray();
        var given = new Dictionary<string, string>();
        if (words.Length != 2 * wanted.Length) return null;
        for (var i = 0; i < words.Length; i += 2)
            if (!words[i].StartsWith("--", StringComparison.Ordinal) || !wanted.Contains(words[i][2..]) || !given.TryAdd(words[i][2..], words[i + 1])) return null;
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
        return faults;
    }

    private static List<string> NumberFaults(Dictionary<string, string> given)
    {
        var faults = new List<string>();
        foreach (var number in new[] { "patients", "pages" }.Where(n => !E164().IsMatch(given[n]))) faults.Add($"--{number} must be a number with country code, for example +12025550100.");
        if (given["patients"] == given["pages"]) faults.Add("--patients and --pages must be two numbers: a patient's STOP must not silence pages.");
        return faults;
    }

    private static async Task<List<string>> InDatabase(string[] settings, Func<IServiceProvider, Task<List<string>>> act)
    {
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions { Args = settings, ContentRootPath = AppContext.BaseDirectory });
        builder.Logging.ClearProviders();       // what is wrong is said in one line below
        builder.Services.AddData(builder.Configuration);
        builder.AddStaff();
        await using var app = builder.Build();
        await using var scope = app.Services.CreateAsyncScope();
        return await act(scope.ServiceProvider);
    }

    private static async Task<List<string>> Number(IServiceProvider scope, Dictionary<string, string> given, TextWriter output)
    {
        var db = scope.GetRequiredService<PortalDb>();
        if (await db.Clinics.SingleOrDefaultAsync(c => c.Slug == given["slug"]) is not { } clinic) return ["no clinic has this slug."];
        string[] numbers = [given["patients"], given["pages"]];
        if (await db.Clinics.AnyAsync(c => c.Id != clinic.Id && (numbers.Contains(c.PatientNumber) || numbers.Contains(c.PageNumber)))) return ["another clinic has one of these numbers."];
        (clinic.PatientNumber, clinic.PageNumber) = (given["patients"], given["pages"]);
        await AnswerForBoth(db, clinic);
        await db.SaveChangesAsync();
        output.WriteLine($"{clinic.Name}: patients text {clinic.PatientNumber}, pages come from {clinic.PageNumber}. Tell both to whom it concerns, and set both at the carrier.");
        return [];
    }

    // From now: what was written to a number before it was ours is not for us.
    private static async Task AnswerForBoth(PortalDb db, ClinicRow clinic)
    {
        foreach (var number in new[] { clinic.PatientNumber, clinic.PageNumber })
            if (!await db.Swept.AnyAsync(s => s.Number == number)) db.AnswerFor(number, SystemClock.Instance.GetCurrentInstant());
    }

    private static async Task<List<string>> Add(IServiceProvider scope, Dictionary<string, string> given, TextWriter output)
    {
        var db = scope.GetRequiredService<PortalDb>();
        if (await db.Clinics.AnyAsync(c => c.Slug == given["slug"] || c.PatientNumber == given["patients"] || c.PageNumber == given["pages"]))
            return ["a clinic with this slug or one of these numbers is there already."];

        var clinic = new ClinicRow
        {
            Name = given["name"].Trim(), Slug = given["slug"], Zone = given["zone"], EmergencyNumber = given["emergency"], ClinicLine = given["line"],
            PatientNumber = given["patients"], PageNumber = given["pages"], QuietFrom = new(21, 0), QuietTo = new(8, 0),
        };
        scope.GetRequiredService<ClinicScope>().Enter(clinic.Id);
        // Both or neither: a clinic nobody can sign in to would hold its slug and numbers for ever.
        await using var all = await db.Database.BeginTransactionAsync();
        db.Add(clinic);
        await AnswerForBoth(db, clinic);
        await db.SaveChangesAsync();
        switch (await scope.GetRequiredService<StaffBook>().Add(given["lead"], given["lead-name"], given["lead-number"], StaffRole.PracticeLead, by: null))
        {
            case StaffBook.Outcome.Password added:
                await all.CommitAsync();
                output.WriteLine($"Added {clinic.Name}. {given["lead"]} signs in at /Staff/SignIn within three days with this password, shown only now: {added.FirstPassword}");
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
