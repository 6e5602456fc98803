namespace AftercarePortal.Web.Photos;

/// <summary>What the photo room adds to the portal.</summary>
internal static class PhotosRoom
{
    /// <exception cref="InvalidOperationException">The key's configuration is faulty; the portal does not start.</exception>
    public static void AddPhotos(this IServiceCollection services, IConfiguration configuration)
    {
        var keys = PhotoKey.From(configuration);
        services.AddSingleton(new PhotoStore(keys));
    }
}
