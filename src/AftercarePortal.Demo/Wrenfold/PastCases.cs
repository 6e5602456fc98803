using System.Globalization;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Outcomes;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Demo.Wrenfold;

/// <summary>The invented clinic's past year: people who were quoted, treated and compared, through the portal's own use cases on the clock of their day.</summary>
/// <remarks>Nothing here is a check of anything: the amounts are drawn from the model itself, with a clinic that uses more.</remarks>
internal sealed class PastCases(IServiceProvider services, Guid clinic, Instant now)
{
    public const int Count = 44;

    /// <summary>Every how many first visits the figures are learned; the portal itself learns after each.</summary>
    private const int LearnEvery = 8;

    private readonly List<(Instant At, Func<IServiceProvider, TimeProvider, Task> Do)> _happenings = [];

    public async Task Run()
    {
        var model = services.GetRequiredService<ContentLibrary>().Pricing;
        var chance = new Random(417);
        for (var i = 0; i < Count; i++) Plan(new(chance, model, i), now - Duration.FromDays(405 - 8.8 * i));
        foreach (var (at, act) in _happenings.Where(h => h.At < now).OrderBy(h => h.At))
        {
            await using var scope = services.CreateAsyncScope();
            scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic);
            await act(scope.ServiceProvider, new SeedClock(at));
        }

        await using var last = services.CreateAsyncScope();
        // Their aftercare is long over, and their figures are learned: nothing is left to do for them.
        await last.ServiceProvider.GetRequiredService<PortalDb>().Jobs
            .Where(j => j.ClinicId == clinic && (j.Kind == SignRecord.PlanAftercare || j.Kind == SignRecord.LearnFigures)).ExecuteDeleteAsync();
    }

    private void Plan(PastPerson person, Instant asked)
    {
        Guid intake = default;
        var treated = asked + Duration.FromDays(10);
        _happenings.Add((asked, async (parts, clock) => intake = await Ask(person, parts, clock)));
        _happenings.Add((asked + Duration.FromDays(2), (parts, clock) => Decide(intake, parts, clock)));
        if (person.StayedAway) return;
        if (person.Examined) _happenings.Add((treated - Duration.FromHours(2), (parts, clock) => Examined(person, intake, parts, clock)));
        _happenings.Add((treated, (parts, clock) => Treat(person, 1, parts, clock)));
        if (person.Number % LearnEvery == LearnEvery - 1)
            _happenings.Add((treated + Duration.FromMinutes(5), (parts, clock) => ActivatorUtilities.CreateInstance<LearnFigures>(parts, clock).Learn(null, default)));
        if (person.TopUp) _happenings.Add((treated + Duration.FromDays(40), (parts, clock) => Treat(person, 0.3, parts, clock)));
        _happenings.Add((treated + Duration.FromDays(Course.Days + 5), async (parts, clock) =>
            Must(await ActivatorUtilities.CreateInstance<EndCourse>(parts, clock).Run(intake, person.Sessions.ToString(CultureInfo.InvariantCulture), "Tomas Reed", default) is null)));
    }

    private static async Task<Guid> Ask(PastPerson person, IServiceProvider parts, TimeProvider clock)
    {
        var db = parts.GetRequiredService<PortalDb>();
        var row = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId);
        var link = await ActivatorUtilities.CreateInstance<StartIntake>(parts, clock).Run(row, "en", default);
        var open = ActivatorUtilities.CreateInstance<OpenIntake>(parts, clock);
        var begun = (await open.Run(link, default))!;
        foreach (var question in begun.Questionnaire.Questions)
        {
            var typed = AnswerOf(person, question);
            db.Add(new IntakeAnswerRow
            {
                ClinicId = row.Id, IntakeId = begun.Intake.Id, LinkId = question.LinkId, Typed = (typed ?? Typed.Nothing).ToJson(), State = typed is null ? AnswerState.Skipped : AnswerState.Answered,
                AnsweredAt = Instant.FromDateTimeOffset(clock.GetUtcNow()),
            });
        }

        await db.SaveChangesAsync();
        Must(await ActivatorUtilities.CreateInstance<WorkOutResult>(parts, clock).Run((await open.Run(link, default))!, default) is WorkOutResult.Outcome.Kept);
        Must(await ActivatorUtilities.CreateInstance<SendIntake>(parts, clock).Run((await open.Run(link, default))!, person.Name, $"+1303555{100 + person.Number:0000}", mayText: false, default) is SendIntake.Outcome.Sent);
        return begun.Intake.Id;
    }

    private static Typed? AnswerOf(PastPerson person, Question question)
    {
        if (question.LinkId == "birth-date") return new([], "", "28", "2", $"{person.Born}");
        if (person.AnswerTo(question.LinkId) is { } codes) return new(codes, "", "", "", "");
        if (question.Kind is QuestionKind.YesNo) return new(["no"], "", "", "", "");
        return question.Options.FirstOrDefault(o => o.Code is "none" or "no") is { } calm ? new([calm.Code], "", "", "", "") : null;
    }

    private static async Task Decide(Guid intake, IServiceProvider parts, TimeProvider clock) =>
        Must(await ActivatorUtilities.CreateInstance<DecideIntake>(parts, clock).Run(intake, 0, Decision.Accepted, null, "Seen.", "Please come and see us.", null, null, "Iris Hale", default) is DecideIntake.Outcome.Decided);

    private static async Task Examined(PastPerson person, Guid intake, IServiceProvider parts, TimeProvider clock)
    {
        var found = new ExaminationForm { Laxity = ExaminationForm.Laxities[person.Laxity], Bone = ExaminationForm.Bones[person.Bone], SideDifference = ExaminationForm.Sides[0] };
        Must(await ActivatorUtilities.CreateInstance<Examine>(parts, clock).Run(intake, 0, found, Injector(person), default) is Examine.Outcome.Kept);
    }

    private static async Task Treat(PastPerson person, double share, IServiceProvider parts, TimeProvider clock)
    {
        var db = parts.GetRequiredService<PortalDb>();
        var zone = DateTimeZoneProviders.Tzdb[(await db.Clinics.SingleAsync(c => c.Id == db.ClinicId)).Zone];
        var today = Instant.FromDateTimeOffset(clock.GetUtcNow()).InZone(zone).Date;
        var patient = await db.Decisions.Where(d => d.PatientId != null).Join(db.Intakes.Where(i => i.Name == person.Name), d => d.IntakeId, i => i.Id, (d, _) => d.PatientId!.Value).FirstAsync();
        var product = person.Product == "caha-filler" ? ProductClass.CaHAFiller : ProductClass.HAFiller;
        var lines = person.Amounts.Select(a => new PlacementForm
        {
            Region = string.Concat(a.Region.Split('-').Select(w => char.ToUpperInvariant(w[0]) + w[1..])), Side = a.Side, Product = product.Name(), ProductName = product is ProductClass.CaHAFiller ? "Demo CaHA 1.5 mL" : "Demo HA 1 mL",
            Lot = "DEMO-PAST", Expiry = LocalDatePattern.Iso.Format(today.PlusYears(1)), Amount = Math.Max(0.05, Math.Round(share * a.Ml, 2)).ToString("0.00", CultureInfo.InvariantCulture),
            Plane = "Subcutaneous", Device = "22 G cannula",
        }).ToList();
        var seen = await db.Treatments.CountAsync(t => t.PatientId == patient);
        Must(await ActivatorUtilities.CreateInstance<SignRecord>(parts, clock).Run(new(Guid.CreateVersion7(), seen, LocalDatePattern.Iso.Format(today), lines, [], null, NoConsent: nameof(NoConsent.SomethingElse), NoConsentWords: "An invented case of the past; no consent was made up for it."), patient, Injector(person), "") is SignRecord.Outcome.Signed);
    }

    private static string Injector(PastPerson person) => person.ByTomas ? "Tomas Reed" : "Iris Hale";

    private static void Must(bool holds)
    {
        if (!holds) throw new InvalidOperationException("A step of the demo's invented past was refused.");
    }
}
