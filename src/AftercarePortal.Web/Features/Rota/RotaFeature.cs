namespace AftercarePortal.Web.Features.Rota;

/// <summary>What the Rota feature adds to the portal.</summary>
internal static class RotaFeature
{
    public static void AddRota(this WebApplicationBuilder builder) => builder.Services.AddScoped<ChangeRota>();
}
