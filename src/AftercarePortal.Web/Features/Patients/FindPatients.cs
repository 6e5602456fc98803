using System.Globalization;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>The clinic's patients, found by part of a name or of a number.</summary>
internal static class FindPatients
{
    /// <summary>Patients whose name holds what was typed, or whose number does when it has four digits or more; all of them when nothing was typed. By name.</summary>
    /// <param name="patients">Among whom.</param>
    /// <param name="clinicNumber">A number of the clinic, E.164: a number is looked for as people there say it, too (<c>07700 900123</c>, <c>(202) 555-0123</c>).</param>
    public static Task<List<PatientRow>> FoundBy(this IQueryable<PatientRow> patients, string? wanted, string clinicNumber, int most, CancellationToken stop)
    {
        var name = wanted?.Trim().ToLowerInvariant() ?? "";
        var digits = new string([.. name.Where(char.IsAsciiDigit)]);
        if (digits.Length >= 4)
        {
            // The nought people dial first at home is in no number of E.164: a part of one is looked for without it.
            var (whole, part) = (PhoneNumber.Read(wanted, clinicNumber), digits.TrimStart('0') is { Length: >= 4 } left ? left : digits);
            patients = patients.Where(p => p.Number == whole || p.Number.Contains(part));
        }
        else if (name.Length > 0)
        {
            // SQLite knows small letters of ASCII only: as typed, and as names are written, too.
            var (typed, asNames) = (wanted!.Trim(), CultureInfo.InvariantCulture.TextInfo.ToTitleCase(name));
            patients = patients.Where(p => p.Name.ToLower().Contains(name) || p.Name.Contains(typed) || p.Name.Contains(asNames));
        }

        return patients.OrderBy(p => p.Name).ThenBy(p => p.Id).Take(most).ToListAsync(stop);
    }
}
