using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Who sent an intake. Anybody can type a name and a number into a public form: that it is somebody known, somebody of the clinic says.</summary>
internal static class WhoSent
{
    /// <summary>Says that none of the patients known with the number sent the intake.</summary>
    public const string SomebodyNew = "new";

    /// <summary>How many of those found by name or number are offered.</summary>
    public const int MostFound = 20;

    /// <summary>Who may be named.</summary>
    /// <param name="More">More than <see cref="MostFound"/> were found; the others are left out.</param>
    internal sealed record Candidates(IReadOnlyList<PatientRow> Known, bool More);

    extension(PortalDb db)
    {
        /// <summary>Whom the latest decision that says so names, or null.</summary>
        public Task<Guid?> SenderOf(Guid intakeId, CancellationToken stop) =>
            db.Decisions.AsNoTracking().Where(d => d.IntakeId == intakeId && d.PatientId != null).OrderByDescending(d => d.Number).Select(d => d.PatientId).FirstOrDefaultAsync(stop);

        /// <summary>Who may be named as the sender: the patients with the number that was typed, then those found by what was looked for.</summary>
        /// <param name="wanted">Part of a name or number; empty: nobody else is looked for.</param>
        /// <param name="without">Who counts as the sender and is not to be named again, or null.</param>
        public async Task<Candidates> KnownWith(IntakeRow intake, string? wanted, Guid? without, CancellationToken stop)
        {
            var others = db.Patients.AsNoTracking().Where(p => p.Id != without);
            var known = await others.Where(p => p.Number == intake.Number).OrderBy(p => p.Name).ThenBy(p => p.Id).ToListAsync(stop);
            if (string.IsNullOrWhiteSpace(wanted)) return new(known, false);
            var found = await others.Where(p => p.Number != intake.Number).FoundBy(wanted, await db.ClinicNumber(stop), MostFound + 1, stop);
            return new([.. known, .. found.Take(MostFound)], found.Count > MostFound);
        }

        /// <summary>Holds the clinic's patients until the transaction ends, so that two intakes from one unknown number do not make the same person twice.</summary>
        public Task HoldPatients(CancellationToken stop) => db.Clinics.Where(c => c.Id == db.ClinicId).ExecuteUpdateAsync(set => set.SetProperty(c => c.Name, c => c.Name), stop);

        /// <summary>Adds a patient from what was typed. Somebody known keeps her entry as it is: what she once took back is not given again by a form anybody can fill in.</summary>
        public async Task<PatientRow> AddPatientFrom(IntakeRow intake, CancellationToken stop)
        {
            var born = await db.IntakeAnswers.AsNoTracking().Where(a => a.IntakeId == intake.Id && a.LinkId == LostLink.BirthDate && a.State == AnswerState.Answered).Select(a => a.Typed).FirstOrDefaultAsync(stop);
            var made = new PatientRow { BornOn = born is null ? null : Typed.FromJson(born).AsDay(), Name = intake.Name!, Number = intake.Number!, AgreedToTextsAt = intake.MayText ? intake.SubmittedAt : null, Language = intake.Language };
            db.Add(made);
            return made;
        }
    }
}
