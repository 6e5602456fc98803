using System.Security.Cryptography;
using System.Text.Json;
using AftercarePortal.Clinical.Outcomes;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Review;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Treatment;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Outcomes;

/// <summary>Learns the clinic's figures from its signed records and adds them as the next version. The same cases on the same day are learned once.</summary>
internal sealed class LearnFigures(PortalDb db, ContentLibrary content, ReadCourses courses, ReadOutcomes outcomes, TimeProvider time) : IJobHandler
{
    public string Kind => SignRecord.LearnFigures;

    /// <remarks>Every signature asks for it. Where another asking waits, that one learns from everything, this one's record too.</remarks>
    public async Task Run(string subject, CancellationToken stop)
    {
        var clinic = db.ClinicId;
        if (await db.Jobs.AnyAsync(j => j.ClinicId == clinic && j.Kind == Kind && j.Subject != subject && j.Attempts == 0 && j.DoneAt == null && j.ParkedAt == null, stop)) return;
        await Learn(askedBy: null, stop);
    }

    /// <param name="askedBy">Who pressed "learn now"; null: a signed record or a correction set it off.</param>
    /// <returns>Whether there was anything new to learn.</returns>
    public async Task<bool> Learn(string? askedBy, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var today = now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        var cases = await Cases(stop);
        var newest = await db.NewestFigures(stop);
        // Quotes count for widening from the model version that made them on.
        double[] scores = [.. from one in await outcomes.Ended(QuoteStage.Answers, stop) where one.Money is not null && one.Quote.Model == content.Pricing.Version.ToString() select one.Money!.NestedScore];

        // decide
        if (cases.Count == 0 && newest is null) return false;
        var fingerprint = Fingerprint(cases, scores, today);
        if (newest?.Fingerprint == fingerprint) return false;
        var learned = Learning.From(content.Pricing, cases, today);

        // write
        db.Add(new ClinicFiguresRow
        {
            Number = (newest?.Number ?? 0) + 1, Model = content.Pricing.Version.ToString(), Cases = learned.Figures.Cases, WithoutExam = learned.WithoutExam,
            LeftOut = JsonSerializer.Serialize(learned.LeftOut.Select(l => new LeftOutCase(l.Id, l.Reason))), Json = JsonSerializer.Serialize(learned.Figures), Calibrations = JsonSerializer.Serialize(Calibration.OfEach(scores)),
            Fingerprint = fingerprint, LearnedAt = now, AskedBy = askedBy,
        });
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            // Of two that learn at once one adds the version; the other looks whether it was the same.
            db.ChangeTracker.Clear();
            if ((await db.NewestFigures(stop))?.Fingerprint != fingerprint) throw;
        }

        return true;
    }

    private async Task<List<CompletedCase>> Cases(CancellationToken stop)
    {
        var all = await courses.Run(stop);
        var quotes = (await db.Quotes.AsNoTracking().Select(q => new { q.IntakeId, q.MadeAt, q.Inputs }).ToListAsync(stop)).ToLookup(q => q.IntakeId);
        var exams = (await db.Examinations.AsNoTracking().ToListAsync(stop)).ToLookup(e => e.IntakeId);
        return
        [
            .. from course in all
               let quote = quotes[course.IntakeId].Where(q => q.MadeAt <= course.First.SignedAt).MaxBy(q => q.MadeAt)
               where quote is not null
               let exam = exams[course.IntakeId].Where(e => e.ExaminedAt <= course.First.SignedAt).MaxBy(e => e.Number)
               from completed in CasesOf(course, QuoteInputs.FromJson(quote.Inputs), exam)
               select completed,
        ];
    }

    // A visit with two products is two cases.
    private IEnumerable<CompletedCase> CasesOf(Course course, QuoteInputs inputs, ExaminationRow? exam)
    {
        foreach (var product in Used.Fillers(course.Visits[0]).GroupBy(f => f.Product).OrderBy(p => p.Key, StringComparer.Ordinal))
        {
            var amounts = from amount in product
                          let sides = content.Pricing.Regions.FirstOrDefault(r => r.Code == amount.Region)?.Sides ?? 0
                          where sides > 0
                          group amount.Ml by (amount.Region, Side: sides == 1 ? 0 : (int)amount.Side) into one
                          select new CompletedCase.Amount(one.Key.Region, one.Sum());
            yield return new($"{course.First.Id}/{product.Key}", course.First.TreatedOn, product.Key, inputs.Given(), [.. amounts], exam?.Laxity, exam?.Bone, exam?.SideDifference)
            {
                Injector = course.Injector, FillerHere = exam?.EarlierProduct,
            };
        }
    }

    private string Fingerprint(List<CompletedCase> cases, double[] scores, LocalDate today) => Convert.ToHexString(SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(new
    {
        Model = content.Pricing.Version.ToString(), Today = today.ToString(), Scores = scores.Order(),
        Cases = cases.OrderBy(c => c.Id, StringComparer.Ordinal).Select(c => new
        {
            c.Id, On = c.On.ToString(), c.Product, Answers = QuoteInputs.Of(c.Answers, c.On, null).Answers.OrderBy(a => a.Key, StringComparer.Ordinal), c.Amounts, c.Laxity, c.Bone, c.SideDifference, c.Injector, c.FillerHere,
        }),
    })));
}
