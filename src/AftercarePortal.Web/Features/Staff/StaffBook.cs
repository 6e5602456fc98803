using System.Security.Cryptography;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Jobs;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Who works here: added, let go, given a new start. For whoever leads the practice.</summary>
internal sealed class StaffBook(PortalDb db, UserManager<StaffRow> staff, StaffDoor door, DoorTries tries, TimeProvider time)
{
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

    /// <summary>Everybody of the clinic, also those let go, by name.</summary>
    public Task<List<StaffRow>> All(CancellationToken stop) => db.StaffOfClinic.AsNoTracking().OrderBy(s => s.FullName).ToListAsync(stop);

    /// <summary>Adds somebody with a first password, which is told once.</summary>
    public async Task<Outcome> Add(string? userName, string? fullName, string? pageNumber, StaffRole role)
    {
        var reasons = new List<string>();
        if (userName is not { Length: > 0 and <= 40 } || !userName.All(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-')) reasons.Add("The sign-in name takes up to 40 plain letters, digits, dots and hyphens.");
        if (string.IsNullOrWhiteSpace(fullName) || fullName.Length > 100) reasons.Add("Write the full name, up to 100 characters.");
        if (pageNumber is null || !pageNumber.StartsWith('+') || pageNumber.Length is < 8 or > 16 || !pageNumber[1..].All(char.IsAsciiDigit)) reasons.Add("Write the number for pages with country code, for example +12025550110.");
        if (reasons.Count > 0) return new Outcome.Refused(reasons);
        var password = NewPassword();
        var made = await staff.CreateAsync(new StaffRow { UserName = userName, ClinicId = db.ClinicId, FullName = fullName!.Trim(), PageNumber = pageNumber!, Role = role }, password);
        return made.Succeeded ? new Outcome.Password(password) : new Outcome.Refused([.. made.Errors.Select(e => e.Description)]);
    }

    /// <summary>A new password and a new authenticator key: whoever lost the phone enrols anew, and old cookies end.</summary>
    public async Task<Outcome> StartAnew(string id)
    {
        if (await OfThisClinic(id) is not { } person) return new Outcome.NotFound();
        return person.IsLetGo ? new Outcome.Refused([$"{person.FullName} is let in no more. To change that, let {person.FullName} in again."]) : await NewStart(person);
    }

    /// <summary>Whoever was let go may come in again, with a new password and a new authenticator key.</summary>
    public async Task<Outcome> LetInAgain(string id)
    {
        if (await OfThisClinic(id) is not { } person) return new Outcome.NotFound();
        return person.IsLetGo ? await NewStart(person) : new Outcome.Refused([$"{person.FullName} was not let go."]);
    }

    private async Task<Outcome> NewStart(StaffRow person)
    {
        var password = NewPassword();
        person.PasswordHash = staff.PasswordHasher.HashPassword(person, password);
        await door.SetKey(person, OneTimeCode.NewKey());
        await staff.SetLockoutEndDateAsync(person, null);
        await tries.Forget(person.Id, known: false);
        await tries.Forget(person.Id, known: true);
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
        db.Enqueue(StaffJobs.LetGo, person.Id, time.GetCurrentInstant(), lane: 0);
        await db.SaveChangesAsync();
        await all.CommitAsync();
        return new Outcome.Done();
    }

    private Task<StaffRow?> OfThisClinic(string id) => db.StaffOfClinic.SingleOrDefaultAsync(s => s.Id == id);

    private static string NewPassword() => string.Join('-', Enumerable.Range(0, 4).Select(_ => RandomNumberGenerator.GetString(Letters, 4)));
}
