namespace AftercarePortal.Web.Features.Patients;

/// <summary>What the Patients feature adds to the portal.</summary>
internal static class PatientsFeature
{
    public static void AddPatients(this WebApplicationBuilder builder) => builder.Services.AddScoped<SavePatient>();
}
