using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Rota;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Features.Treatment;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Demo.Wrenfold;

/// <summary>The invented clinic. Every name, number and lot here is made up.</summary>
internal static class Seed
{
    public const string PatientNumber = "+12025550123";
    public const string FirstOnCall = "+12025550110";
    public const string SecondOnCall = "+12025550111";
    public const string ClinicNumber = "+12025550100";
    public const string PageNumber = "+12025550101";
    public const string Password = "wrenfold demo only";

    /// <summary>Makes the clinic once; nothing happens when it is there.</summary>
    /// <param name="services">The portal's parts.</param>
    /// <param name="now">The demo's clock.</param>
    /// <param name="withPast">Whether it has a year of invented cases behind it; they take some seconds.</param>
    public static async Task Run(IServiceProvider services, Instant now, bool withPast = false)
    {
        await using var scope = services.CreateAsyncScope();
        var db = scope.ServiceProvider.GetRequiredService<PortalDb>();
        await db.Database.EnsureCreatedAsync();
        if (await db.Clinics.AnyAsync()) return;

        var clinic = new ClinicRow
        {
            Name = "Wrenfold Clinic", Slug = "wrenfold", PriceList = "wrenfold-prices.v2", Zone = "America/New_York", EmergencyNumber = "911", ClinicLine = "202-555-0142",
            PatientNumber = ClinicNumber, PageNumber = PageNumber, QuietFrom = new(21, 0), QuietTo = new(8, 0),
        };
        db.Add(clinic);
        await db.SaveChangesAsync();
        scope.ServiceProvider.GetRequiredService<ClinicScope>().Enter(clinic.Id);

        if (withPast) await new PastCases(services, clinic.Id, now).Run();
        var patient = new PatientRow { Name = "Mira Sand", Number = PatientNumber, AgreedToTextsAt = now, BornOn = new(1990, 5, 3) };
        db.Add(patient);
        await db.SaveChangesAsync();
        await SignTreatment(scope.ServiceProvider, patient.Id, now.InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date);

        var staff = scope.ServiceProvider.GetRequiredService<UserManager<StaffRow>>();
        foreach (var (name, full, number, role, order) in new[] { ("iris", "Iris Hale", FirstOnCall, StaffRole.Clinician, 1), ("tomas", "Tomas Reed", SecondOnCall, StaffRole.PracticeLead, 2) })
        {
            var person = new StaffRow { UserName = name, ClinicId = clinic.Id, FullName = full, PageNumber = number, Role = role };
            var made = await staff.CreateAsync(person, Password);
            if (!made.Succeeded) throw new InvalidOperationException(string.Join(' ', made.Errors.Select(e => e.Description)));
            db.Add(new ShiftRow { Person = person.Id, Number = number, Order = order, From = now - Duration.FromDays(1), To = now + Duration.FromDays(365) });
        }

        await db.SaveChangesAsync();
    }

    private static async Task SignTreatment(IServiceProvider services, Guid patient, LocalDate today)
    {
        var lines = new[] { Side.Left, Side.Right }.Select(side => new PlacementForm
        {
            Region = nameof(Region.JawAngle), Side = side.ToString(), Product = ProductClass.CaHAFiller.Name(), ProductName = "Demo CaHA 1.5 mL", Lot = "DEMO-0417",
            Expiry = LocalDatePattern.Iso.Format(today.PlusYears(1)), Amount = "0.75", Plane = nameof(Plane.Supraperiosteal), Device = "22 G cannula",
        });
        var outcome = await services.GetRequiredService<SignRecord>().Run(
            new(Guid.CreateVersion7(), 0, LocalDatePattern.Iso.Format(today), [.. lines], [], null, NoConsent: nameof(NoConsent.SomethingElse), NoConsentWords: "The invented demo starts with a record and without consents."), patient, "Iris Hale", "");
        if (outcome is not SignRecord.Outcome.Signed) throw new InvalidOperationException("The demo's treatment record was refused.");
    }
}
