using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>Writes down that a patient withdrew consent: who said so, how, and what was said. It holds for every consent of the patient to the same document: one signed twice must not stand on. Done twice, the first stands.</summary>
internal sealed class WithdrawConsent(PortalDb db, TimeProvider time)
{
    /// <summary>Longest account of what was said, in UTF-16 units.</summary>
    public const int MostLetters = 2000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Withdrawn : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        /// <summary>It had been withdrawn before, in other words; nothing is changed.</summary>
        /// <param name="By">Who wrote it down.</param>
        public sealed record Before(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="saidBy">Who said so: the patient, or whoever decides for the patient.</param>
    /// <param name="told">A <see cref="ToldHow"/> by name.</param>
    /// <param name="words">What was said; a patient owes no reason, so it may be empty.</param>
    /// <param name="sure">The tick that this is to be withdrawn.</param>
    /// <param name="person">Full name of whoever writes it down.</param>
    public async Task<Outcome> Run(Guid id, string? saidBy, string? told, string? words, bool sure, string person, CancellationToken stop)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await Find(id, stop) is not { } consent) return new Outcome.NotFound();

        // decide
        var (who, how, said) = (saidBy?.Trim() ?? "", ReadTyped.Choice<ToldHow>(told), words?.Trim() ?? "");
        if (consent.WithdrawnAt is not null) return Standing(consent);
        var reasons = new List<string>();
        if (who.Length is 0 or > 200) reasons.Add("Write who said so, up to 200 letters.");
        if (how is null) reasons.Add("Choose how it was told.");
        if (said.Length > MostLetters) reasons.Add($"What was said: at most {MostLetters} letters.");
        if (!sure) reasons.Add("Tick that this consent is to be withdrawn.");
        if (reasons.Count > 0) return new Outcome.Refused(reasons);

        // write
        var written = await db.Consents.Where(c => c.PatientId == consent.PatientId && c.DocumentId == consent.DocumentId && c.WithdrawnAt == null).ExecuteUpdateAsync(
            set => set.SetProperty(c => c.WithdrawnAt, now).SetProperty(c => c.WithdrawnWith, person).SetProperty(c => c.WithdrawnSaidBy, who).SetProperty(c => c.WithdrawnTold, how).SetProperty(c => c.WithdrawnWords, said), stop);
        return written > 0 ? new Outcome.Withdrawn() : Standing((await Find(id, stop))!);          // of two in the same moment the first stands

        // Sent twice by one person it is one withdrawal.
        Outcome Standing(ConsentRow kept) => (kept.WithdrawnWith, kept.WithdrawnSaidBy, kept.WithdrawnTold, kept.WithdrawnWords) == (person, who, how, said)
            ? new Outcome.Withdrawn()
            : new Outcome.Before(kept.WithdrawnWith!);
    }

    private Task<ConsentRow?> Find(Guid id, CancellationToken stop) => db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop);
}
