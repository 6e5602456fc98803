using System.Security.Cryptography;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Who works here: added, let go, given a new start. For whoever leads the practice.</summary>
internal sealed class StaffBook(PortalDb db, UserManager<StaffRow> staff, StaffDoor door, DoorTries tries, TimeProvider time)
{
    // Long enough to be handed over, too short to be found in a drawer: common practice, no source.
    private static readonly Duration FirstPasswordLasts = Duration.FromDays(3);

    // No letters or digits that are easily taken for another.
    private const string Letters = "abcdefghjkmnpqrstuvwxyz23456789";

    public abstract record Outcome
    {
        private Outcome() { }
        /// <summary>Done; the password is shown once and stored nowhere.</summary>
        public sealed record Password(string FirstPassword) : Outcome;
        public sealed record Done : Outcome;
        public sealed record Refused(IReadOnlyList<string> Reasons) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <summary>Said where <see cref="IsNumber"/> does not hold.</summary>
    public const string WriteANumber = "Write the number for pages with country code, for example +12025550110.";

    /// <summary>Whether it is a number somebody can be paged at, E.164.</summary>
    public static bool IsNumber([System.Diagnostics.CodeAnalysis.NotNullWhen(true)] string? number) => number is { Length: >= 8 and <= 16 } && number.StartsWith('+') && number[1..].All(char.IsAsciiDigit);

    /// <summary>Everybody of the clinic, also those let go, by name.</summary>
    public Task<List<StaffRow>> All(CancellationToken stop) => db.StaffOfClinic.AsNoTracking().OrderBy(s => s.FullName).ToListAsync(stop);

    /// <summary>Adds somebody with a first password, which is told once.</summary>
    /// <param name="by">Staff id of who adds them; null: whoever runs the machine.</param>
    public async Task<Outcome> Add(string? userName, string? fullName, string? pageNumber, StaffRole role, string? by)
    {
        var reasons = new List<string>();
        if (userName is not { Length: > 0 and <= 40 } || !userName.All(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-')) reasons.Add("The sign-in name takes up to 40 plain letters, digits, dots and hyphens.");
        if (string.IsNullOrWhiteSpace(fullName) || fullName.Length > 100) reasons.Add("Write the full name, up to 100 characters.");
        else if (await All(default) is var all && all.Exists(s => string.Equals(s.FullName.Trim(), fullName.Trim(), StringComparison.OrdinalIgnoreCase))) reasons.Add("Somebody of this clinic has this full name, also of those let in no more. Records carry it: write one that tells them apart.");
        if (!IsNumber(pageNumber)) reasons.Add(WriteANumber);
        if (reasons.Count > 0) return new Outcome.Refused(reasons);
        var (password, now) = (NewPassword(), time.GetCurrentInstant());
        var person = new StaffRow { UserName = userName, ClinicId = db.ClinicId, FullName = fullName!.Trim(), PageNumber = pageNumber!, Role = role, FirstPasswordUntil = now + FirstPasswordLasts };
        await using var both = db.Database.CurrentTransaction is null ? await db.Database.BeginTransactionAsync() : null;
        var made = await staff.CreateAsync(person, password);
        if (!made.Succeeded) return new Outcome.Refused([.. made.Errors.Select(e => e.Description)]);
        await Keep(person, StaffChange.Added, by, now);
        if (both is not null) await both.CommitAsync();
        return new Outcome.Password(password);
    }

    /// <summary>A new password and a new authenticator key: whoever lost the phone enrols anew, and old cookies end.</summary>
    /// <param name="by">Staff id of who does it.</param>
    public async Task<Outcome> StartAnew(string id, string by)
    {
        if (await OfThisClinic(id) is not { } person) return new Outcome.NotFound();
        return person.IsLetGo ? new Outcome.Refused([$"{person.FullName} is let in no more. To change that, let {person.FullName} in again."]) : await NewStart(person, StaffChange.StartedAnew, by);
    }

    /// <summary>Whoever was let go may come in again, with a new password and a new authenticator key.</summary>
    /// <param name="by">Staff id of who does it.</param>
    public async Task<Outcome> LetInAgain(string id, string by)
    {
        if (await OfThisClinic(id) is not { } person) return new Outcome.NotFound();
        return person.IsLetGo ? await NewStart(person, StaffChange.LetInAgain, by) : new Outcome.Refused([$"{person.FullName} was not let go."]);
    }

    private async Task<Outcome> NewStart(StaffRow person, StaffChange what, string by)
    {
        var (password, now) = (NewPassword(), time.GetCurrentInstant());
        await using var both = await db.Database.BeginTransactionAsync();
        person.PasswordHash = staff.PasswordHasher.HashPassword(person, password);
        person.FirstPasswordUntil = now + FirstPasswordLasts;
        await door.ForgetKey(person);
        await staff.SetLockoutEndDateAsync(person, null);
        await tries.Forget(new DoorTries.Of.Strangers(person.Id));
        await tries.Forget(new DoorTries.Of.Known(person.Id));
        await Keep(person, what, by, now);
        await both.CommitAsync();
        return new Outcome.Password(password);
    }

    /// <summary>Lets nobody in with this name any more, at once; the reports they have are given back. Records keep the name.</summary>
    public async Task<Outcome> LetGo(string id, string by)
    {
        if (await OfThisClinic(id) is not { } person) return new Outcome.NotFound();
        if (person.Id == by) return new Outcome.Refused(["You cannot let yourself go: another lead has to."]);
        await using var all = await db.Database.BeginTransactionAsync();
        await staff.SetLockoutEndDateAsync(person, DateTimeOffset.MaxValue);
        await staff.UpdateSecurityStampAsync(person);
        var now = time.GetCurrentInstant();
        db.Enqueue(StaffJobs.LetGo, person.Id, now, lane: 0);
        await Keep(person, StaffChange.LetGo, by, now);
        await all.CommitAsync();
        return new Outcome.Done();
    }

    private Task Keep(StaffRow person, StaffChange what, string? by, Instant now)
    {
        db.KeepStaffChange(person.Id, what, by, now);
        return db.SaveChangesAsync();
    }

    /// <summary>One person of the clinic, with what was done with the account, the latest first; null: nobody.</summary>
    public async Task<(StaffRow Person, IReadOnlyList<StaffChangeRow> Changes)?> Find(string id, CancellationToken stop) =>
        await db.StaffOfClinic.AsNoTracking().SingleOrDefaultAsync(s => s.Id == id, stop) is { } person
            ? (person, await db.StaffChanges.AsNoTracking().Where(c => c.StaffId == id).OrderByDescending(c => c.At).ThenByDescending(c => c.Id).ToListAsync(stop)) : null;

    private Task<StaffRow?> OfThisClinic(string id) => db.StaffOfClinic.SingleOrDefaultAsync(s => s.Id == id);

    private static string NewPassword() => string.Join('-', Enumerable.Range(0, 4).Select(_ => RandomNumberGenerator.GetString(Letters, 4)));
}
